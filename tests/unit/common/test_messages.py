"""A code and facts become a sentence of the reader's language; what is missing is found out."""

import logging
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.utils.translation import get_language, override
from pytest_django import Settings

from common import messages
from common.messages import Message, MissingFactError, Sentences, UnknownCodeError, Wording, of_stored, render
from tests.support.composing import contribute


def test_sentence__in_the_language_asked_for() -> None:
    message = Message("database_busy", {"retry_after": 3})
    assert render(message, "en") == "The service is busy. Try again in 3 seconds."
    assert render(message, "es") == "El servicio está ocupado. Inténtelo de nuevo en 3 segundos."


def test_rendering__leaves_the_language_in_force_alone() -> None:
    with override("en"):
        render(Message("bad_request"), "es")
        assert get_language() == "en"


def test_unknown_code__raises() -> None:
    with pytest.raises(UnknownCodeError):
        render(Message("no_such_code"), "en")


def test_code_of_a_newer_release__shown_as_it_stands_with_its_facts(
    settings: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    settings.MESSAGES_STRICT = False
    facts = {"unit": "LR-46", "fault": {"en": "It knocks.", "es": "Golpea."}, "what": Message("bad_request"), "at": ""}
    with caplog.at_level(logging.WARNING):
        said = render(Message("fault_to_weigh", facts), "en")
    assert said == "fault_to_weigh: unit LR-46, fault It knocks., what The request cannot be read."
    assert "fault_to_weigh" in caplog.text
    assert render(Message("fault_to_weigh"), "es") == "fault_to_weigh"


def test_stored_word_of_a_newer_release__shown_without_what_stands_before_it() -> None:
    assert render(of_stored("flag", "place_odd", {"place": "axle 1"}), "en") == "place_odd: place axle 1"
    assert render(of_stored("database", "busy", {"retry_after": 3}), "en") == render(
        Message("database_busy", {"retry_after": 3}), "en"
    )


def test_missing_fact_where_strict__raises_and_names_it() -> None:
    with pytest.raises(MissingFactError, match="retry_after"):
        render(Message("database_busy"), "en")


def test_missing_fact_in_service__shown_by_its_name_and_logged(
    settings: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    settings.MESSAGES_STRICT = False
    with caplog.at_level(logging.ERROR):
        assert render(Message("database_busy"), "en") == "The service is busy. Try again in {retry_after} seconds."
    assert "database_busy" in caplog.text


def test_second_sentence_for_a_code__refused(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences(({"bad_request": "another"},)))
    with pytest.raises(ValueError, match="bad_request"):
        render(Message("bad_request"), "en")


def test_list_without_items__shown_as_a_dash() -> None:
    none = Message("unknown_parameter", {"unknown": ["x"], "known": []})
    assert render(none, "en") == "Unknown query parameters: x. Use: -."


def test_names_of_parameters__stay_as_they_are_sent_in_every_language() -> None:
    known = Message("unknown_parameter", {"unknown": ["x"], "known": ["tractor", "trailer"]})
    assert render(known, "es").endswith(": tractor, trailer.")


def test_facts__worded_by_their_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences(({"test_kinds": "{message} {many} {decimal} {day} {instant} {flag}"},)))
    facts = {
        "message": Message("not_found"),
        "many": ["a", Decimal("1E+2")],
        "decimal": Decimal("12.50"),
        "day": date(2026, 11, 25),
        "instant": datetime(2026, 11, 25, 6, 10, 59, tzinfo=UTC),
        "flag": True,
    }
    expected = "Not found, or not visible to you. a, 100 12.50 Wed 25 Nov 2026 Wed 25 Nov 6:10 AM UTC True"
    assert render(Message("test_kinds", facts), "en") == expected


def test_fact_with_braces__is_not_a_template(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences(({"test_braces": "It says {what}."},)))
    assert render(Message("test_braces", {"what": "{code}"}), "en") == "It says {code}."


def test_registered_codes__sorted_with_titles_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences(({"test_a": Wording("a", "A")},)))
    assert "test_a" in messages.registered_codes()
    assert messages.registered_codes() == sorted(messages.registered_codes())
    assert messages.wording("test_a").title == "A"


def test_code_word_that_has_a_word__shown_by_it_also_in_a_list_and_only_as_that_fact(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    contribute(
        monkeypatch, Sentences(({"depths": "{depth} of {other}"},), words={"depth": {"knee_deep": "to the knee"}})
    )
    assert render(Message("depths", {"depth": ["knee_deep", "1.2"], "other": "knee_deep"}), "en") == (
        "to the knee, 1.2 of knee_deep"
    )


def test_yes_or_no_that_has_a_word__shown_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences(({"tides": "{tide_in}"},), words={"tide_in": {"True": "high", "False": "low"}}))
    assert [render(Message("tides", {"tide_in": tide}), "en") for tide in (True, False)] == ["high", "low"]


def test_code_word_with_a_word_in_two_apps__shown_by_the_word_of_the_sentence_s_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    contribute(
        monkeypatch,
        Sentences(({"of_the_yard": "{gate}"},), words={"gate": {"shut": "locked"}}),
        Sentences(({"of_the_box": "{gate}"},), words={"gate": {"shut": "sealed"}}),
        Sentences(({"of_neither": "{gate}"},)),
    )
    said = [render(Message(code, {"gate": "shut"}), "en") for code in ("of_the_yard", "of_the_box", "of_neither")]
    assert said == ["locked", "sealed", "locked"]


def test_text_by_language__the_readers_or_else_the_services_own(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences(({"test_color": "{color}"},)))
    texts = {"en": "red", "es": "rojo"}
    said = [render(Message("test_color", {"color": texts}), language) for language in ("en", "es", "es-mx", "fr")]
    assert said == ["red", "rojo", "rojo", "red"]
