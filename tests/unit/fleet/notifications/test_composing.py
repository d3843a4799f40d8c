import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from common.messages import Message, UnknownCodeError
from fleet.models import Delivery, Notification
from fleet.services.notifications.composing import Mail, Reader, sentence_of, write_mail
from fleet.services.notifications.create import facts_in_zone, stored_facts

CHICAGO = ZoneInfo("America/Chicago")
AT = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
READER = Reader(name="Hob Anselm", address="hob@carrier.invalid", language="en", zone=CHICAGO)
FACTS: dict[str, object] = {
    "unit": "LR-46",
    "hold": 12,
    "what": "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in",
    "reported_by": "Iris Quade",
    "at": AT,
}
SENTENCE = (
    "Unit LR-46, hold 12: Pushrod stroke, axle 2 right: 2.31 in, limit 2 in. Reported by "
    "Iris Quade, Fri 6 Mar 12:00 PM. Do not move the unit until the hold is lifted."
)


def notice(code: str = "hold_placed", **facts: object) -> Notification:
    return Notification(code=code, facts=stored_facts(FACTS | facts))


def letter(*notices: Notification, summary_on: dt.date | None = None, more: int = 0, reader: Reader = READER) -> Mail:
    delivery = Delivery(message_id="<notification.1.mail@localhost>", summary_on=summary_on)
    return write_mail(delivery, notices or (notice(),), more=more, reader=reader)


def test_hold__sentence_in_full_with_the_instant_in_the_readers_zone() -> None:
    assert sentence_of(notice(), language="en", zone=CHICAGO) == SENTENCE


def test_letter_of_a_hold__says_it_in_subject_text_and_html_with_the_caution() -> None:
    written = letter()

    assert (written.to, written.subject, written.message_id, written.language) == (
        "hob@carrier.invalid",
        "Hold 12 on unit LR-46",
        "<notification.1.mail@localhost>",
        "en",
    )
    assert SENTENCE in written.text
    assert SENTENCE in written.html
    for form in (written.text, written.html.replace("&#x27;", "'")):
        assert "Good day, Hob Anselm," in form
        assert "this is urgent:" in form
        assert "The carrier's qualified people, the officer at the roadside and local law decide." in form


def test_several_urgent_ones__first_named_and_the_others_counted() -> None:
    assert letter(notice(), notice(hold=13), notice(hold=14)).subject == "Hold 12 on unit LR-46, and 2 more"


@pytest.mark.parametrize(
    ("notices", "more", "subject"),
    [
        (1, 0, "Notifications, Sat 7 Mar 2026: 1"),
        (2, 0, "Notifications, Sat 7 Mar 2026: 2"),
        (2, 40, "Notifications, Sat 7 Mar 2026: 42"),
    ],
)
def test_digest__counted_with_those_not_spelled_out(notices: int, more: int, subject: str) -> None:
    written = letter(*[notice()] * notices, summary_on=dt.date(2026, 3, 7), more=more)

    assert written.subject == subject
    assert written.text.count(SENTENCE) == written.html.count(SENTENCE) == notices
    assert ("More notifications on your list: 40." in written.text) is (more == 40)
    assert "this is urgent:" not in written.text


def test_words_of_a_driver_with_markup__escaped_in_html_and_plain_in_text() -> None:
    written = letter(notice(what="<b>bent</b> & loose"))

    assert "<b>bent</b> & loose" in written.text
    assert "&lt;b&gt;bent&lt;/b&gt; &amp; loose" in written.html
    assert "<b>bent" not in written.html


def test_words_of_a_driver_with_line_ends__subject_stays_one_line() -> None:
    written = letter(notice(unit="LR-46\nBcc: everyone@carrier.invalid"))

    assert written.subject == "Hold 12 on unit LR-46 Bcc: everyone@carrier.invalid"


def test_unanswered__says_so_before_what_it_is_about() -> None:
    unanswered = Notification(
        code="unanswered", facts=stored_facts({"minutes": 15, "what": Message("hold_placed", FACTS)})
    )

    written = letter(unanswered)

    assert written.subject == "Not acknowledged: Hold 12 on unit LR-46"
    assert f"Not acknowledged for 15 minutes. {SENTENCE}" in written.text


def test_reader_of_spanish__every_word_around_it_in_spanish() -> None:
    wen = Reader(name="Wen Castel", address="wen@carrier.invalid", language="es", zone=CHICAGO)

    urgent = letter(notice(), notice(hold=13), reader=wen)
    digest = letter(summary_on=dt.date(2026, 3, 7), more=2, reader=wen)

    assert (urgent.subject, digest.subject) == ("Retención 12 de la unidad LR-46, y 1 más", "Avisos, sáb 7 mar 2026: 3")
    for form in (urgent.text, digest.text, urgent.html, digest.html):
        assert "Buenos días, Wen Castel:" in form
        assert "Este servicio nunca dice que un vehículo sea seguro." in form
        for english in ("Good day", "cannot wait", "since your last", "Further", "Please", "qualified people"):
            assert english not in form
    assert "esto es urgente:" in urgent.text
    assert "Otros avisos en su lista: 2." in digest.text


def test_code_without_a_sentence__refused_rather_than_sent_empty() -> None:
    with pytest.raises(UnknownCodeError):
        letter(notice(code="no_such_code"))


def test_facts__come_back_as_the_sentence_takes_them() -> None:
    facts = {"what": Message("hold_placed", {"at": AT}), "ends_on": dt.date(2026, 3, 27), "held_at": [AT], "n": 3}

    told = facts_in_zone(stored_facts(facts), CHICAGO)

    assert told == {"what": Message("hold_placed", {"at": AT}), "ends_on": "2026-03-27", "held_at": [AT], "n": 3}
    assert str(told["held_at"]) == str([AT.astimezone(CHICAGO)])
