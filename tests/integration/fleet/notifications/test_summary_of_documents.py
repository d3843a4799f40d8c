"""A digest as its reader gets it: what is out of date first, in groups, in English and in Spanish."""

import datetime as dt
from typing import Any

import pytest

from common.messages import Message
from fleet.enums import Channel, NotificationKind
from fleet.models import Person
from fleet.services.notifications.channels import Senders
from fleet.services.notifications.composing import Mail
from fleet.services.notifications.create import NotificationDraft, create_notifications
from fleet.services.notifications.deliveries import deliver_pending
from fleet.services.notifications.job import gather_summaries
from tests.factories.fleet import NOON, make_carrier, make_recipient, waiting_draft
from tests.support.outbox import Outbox

pytestmark = pytest.mark.django_db

MORNING = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)

TEXT = """\
Good day, Vera Holt,

your notifications since the last summary:

What happened

* Unit LR-46, hold 12: Pushrod stroke, axle 2 right: 2.31 in, limit 2 in. Reported by Iris Quade, \
Fri 6 Mar 12:00 PM. Do not move the unit until the hold is lifted.

Documents expired

* Unit NL-16: registration expired Fri 20 Feb 2026. Days overdue: 14. Clearance is barred.

* Unit NL-15: registration expired Sun 1 Mar 2026. Days overdue: 5. Clearance is barred.

Documents missing

* Unit LR-46: periodic inspection missing. Clearance is barred.

Documents in grace

* Unit NL-15: fuel-tax licence and decals expired Wed 31 Dec 2025, in grace until Sat 28 Feb 2026. Days left: 3. \
After Sat 28 Feb 2026 clearance is barred.

Documents expiring

* Unit NL-17: registration expires Mon 9 Mar 2026. Days left: 3. After Mon 9 Mar 2026 clearance is barred.

Please acknowledge this in your list of notifications.

--\x20
The carrier's qualified people, the officer at the roadside and local law decide. This service never says that a \
vehicle is safe.
"""


def paper(person: Person, code: str, unit: str, kind: str, **facts: Any) -> NotificationDraft:
    bars = code in {"document_overdue", "document_missing"}
    effect = Message("document_bars") if bars else Message("document_will_bar", {"good_through": facts["ends_on"]})
    said = {
        "effect": effect,
        "document": Message(f"document_kind_{kind}"),
        "whose": Message("whose_unit", {"unit": unit}),
        **facts,
    }
    return NotificationDraft(
        kind=NotificationKind.DOCUMENT_ENDING,
        code=code,
        subject=person.pk,
        people=[person.pk],
        facts=said,
        step=f"{code}:{unit}",
    )


def digest(language: str) -> Mail:
    make_carrier()
    vera = make_recipient("Vera Holt", language=language)
    day = dt.date
    create_notifications(
        [
            paper(vera, "document_ending", "NL-17", "registration", ends_on=day(2026, 3, 9), days=3),
            paper(
                vera,
                "document_in_grace",
                "NL-15",
                "fuel_tax_licence",
                own_end=day(2025, 12, 31),
                ends_on=day(2026, 2, 28),
                days=3,
            ),
            paper(vera, "document_overdue", "NL-15", "registration", ends_on=day(2026, 3, 1), days=5),
            paper(vera, "document_missing", "LR-46", "periodic_inspection"),
            paper(vera, "document_overdue", "NL-16", "registration", ends_on=day(2026, 2, 20), days=14),
            waiting_draft(vera),
        ],
        now=NOON,
    )
    gather_summaries(now=MORNING)
    outbox = Outbox()
    deliver_pending(clock=lambda: MORNING, senders=Senders({Channel.MAIL: outbox}))
    (letter,) = outbox.sent
    return letter


def test_digest__expired_first_in_groups_that_say_what_they_are() -> None:
    letter = digest("en")

    assert letter.subject == "Notifications, Sat 7 Mar 2026: 6"
    assert letter.text == TEXT


def test_digest_as_html__the_same_groups_as_headings() -> None:
    html = digest("en").html

    headings = [line.removeprefix("<h2>").removesuffix("</h2>") for line in html.splitlines() if "<h2>" in line]
    assert headings == [
        "What happened",
        "Documents expired",
        "Documents missing",
        "Documents in grace",
        "Documents expiring",
    ]
    assert html.count("<li>") == 6
    assert html.index("NL-16: registration") < html.index("NL-15: registration") < html.index("NL-17: registration")


def test_digest_for_a_reader_of_spanish__no_word_of_english() -> None:
    text = digest("es").text

    assert "Documentos vencidos\n\n* Unidad NL-16: registro del vehículo venció el vie 20 feb 2026" in text
    assert "Documentos que faltan\n\n* Unidad LR-46: falta inspección periódica. La autorización está impedida." in text
    assert "Documentos en prórroga\n\n* Unidad NL-15: licencia y calcomanías" in text
    assert "Documentos por vencer\n\n* Unidad NL-17: registro del vehículo vence el lun 9 mar 2026" in text
    assert not {"day", "Papers", "Unit", "registration", "grace"} & set(text.replace(",", " ").split())
