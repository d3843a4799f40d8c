"""A late document that nobody acknowledged goes to the next role, once for each of its steps."""

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import Document, Notification, Person, Unit
from fleet.services.documents.reminders.job import remind_of_documents
from fleet.services.notifications.answer import acknowledge_notification, snooze_notification
from fleet.services.notifications.composing import sentence_of
from fleet.services.notifications.endings import still_active
from fleet.services.notifications.escalate import escalate_late_documents
from fleet.services.notifications.job import gather_summaries
from tests.factories.fleet import (
    NOON,
    DocumentFactory,
    PolicyFactory,
    give_role,
    make_bare_unit,
    make_carrier,
    make_recipient,
    make_site,
)

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 3, 6)
A_DAY = dt.timedelta(days=1)
CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def vera() -> Person:
    make_carrier()
    vera = make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    for kind in ("unified_registration_fee", "biennial_update"):
        paper(vera, kind=kind, ends_on=dt.date(2099, 12, 31))
    return vera


@pytest.fixture
def ada() -> Person:
    return make_recipient("Ada Min", roles=(Role.ADMINISTRATOR,))


def paper(recorder: Person, **fields: Any) -> Document:
    given: dict[str, Any] = {"kind": "registration", "recorded_at": NOON, "recorded_by": recorder, **fields}
    return DocumentFactory.create(**given)


def late(vera: Person, unit: Unit | None = None) -> Document:
    """A document that ended yesterday and is told today."""
    unit = unit or make_bare_unit("CU-15", kind=UnitKind.COOLING_UNIT)
    document = paper(vera, unit=unit, ends_on=TODAY - A_DAY)
    remind_of_documents(clock=lambda: NOON)
    return document


def told() -> list[tuple[str, str]]:
    return sorted(Notification.objects.values_list("person__name", "code"))


def test_late_and_unacknowledged_for_three_days__administrator_notified_once(vera: Person, ada: Person) -> None:
    document = late(vera)

    owed = [escalate_late_documents(now=NOON + days * A_DAY) for days in (2, 3, 3, 4)]

    assert owed == [0, 1, 0, 0]
    notification = Notification.objects.get(person=ada)
    assert (notification.kind, notification.subject_id, notification.unit, notification.urgent, notification.step) == (
        "document_ending",
        document.pk,
        document.unit,
        False,
        "2026-03-05:1-days-overdue/next",
    )
    assert sentence_of(notification, language="en", zone=CHICAGO) == (
        "Not acknowledged for 3 days. Unit CU-15: registration expired Thu 5 Mar 2026. Days "
        "overdue: 1. Clearance is barred."
    )


def test_acknowledged_for_one_step__the_next_step_escalates_all_the_same(vera: Person, ada: Person) -> None:
    late(vera)
    acknowledge_notification(notification=Notification.objects.get().pk, actor=vera, now=NOON)
    assert escalate_late_documents(now=NOON + 3 * A_DAY) == 0

    week = NOON + 6 * A_DAY
    remind_of_documents(clock=lambda: week)

    assert escalate_late_documents(now=week + 3 * A_DAY) == 1
    assert Notification.objects.get(person=ada).step == "2026-03-05:7-days-overdue/next"


def test_put_off_with_a_reason__waits_for_the_day_it_was_put_off_to(vera: Person, ada: Person) -> None:
    late(vera)
    until = TODAY + 5 * A_DAY
    snooze_notification(
        notification=Notification.objects.get().pk, actor=vera, until=until, reason="letter sent", now=NOON
    )

    assert [escalate_late_documents(now=NOON + days * A_DAY) for days in (4, 5)] == [0, 1]


def test_not_late_yet__never_escalates(vera: Person, ada: Person) -> None:
    paper(vera, unit=make_bare_unit("CU-15", kind=UnitKind.COOLING_UNIT), ends_on=TODAY + 7 * A_DAY)
    remind_of_documents(clock=lambda: NOON)

    assert escalate_late_documents(now=NOON + 5 * A_DAY) == 0


def test_replaced_meanwhile__neither_escalated_nor_in_the_digest(vera: Person, ada: Person) -> None:
    document = late(vera)
    document.superseded_at = NOON
    document.save()

    assert escalate_late_documents(now=NOON + 3 * A_DAY) == 0
    assert gather_summaries(now=NOON + 3 * A_DAY) == 0


def test_missing_and_recorded_meanwhile__neither_escalated_nor_in_the_digest(vera: Person, ada: Person) -> None:
    unit = make_bare_unit("LR-46", kind=UnitKind.TRAILER)
    paper(vera, unit=unit, ends_on=TODAY + 300 * A_DAY)
    remind_of_documents(clock=lambda: NOON)
    assert told() == [("Vera Holt", "document_missing")]
    paper(vera, unit=unit, kind="periodic_inspection", ends_on=TODAY + 300 * A_DAY)

    assert escalate_late_documents(now=NOON + 3 * A_DAY) == 0
    assert gather_summaries(now=NOON + 3 * A_DAY) == 0


def test_missing_still__escalated(vera: Person, ada: Person) -> None:
    unit = make_bare_unit("LR-46", kind=UnitKind.TRAILER)
    paper(vera, unit=unit, ends_on=TODAY + 300 * A_DAY)
    remind_of_documents(clock=lambda: NOON)

    assert escalate_late_documents(now=NOON + 3 * A_DAY) == 1
    assert told() == [("Ada Min", "unanswered_days"), ("Vera Holt", "document_missing")]


def test_permit_missing_in_one_state__is_in_the_digest_until_recorded(vera: Person) -> None:
    PolicyFactory.create(key="states_run", value=["NY", "OR"], valid_from=NOON - A_DAY, recorded_at=NOON - A_DAY)
    unit = make_bare_unit("NL-13", kind=UnitKind.TRACTOR)
    for kind in ("registration", "periodic_inspection"):
        paper(vera, unit=unit, kind=kind, ends_on=TODAY + 300 * A_DAY)
    permit = {"unit": unit, "kind": "weight_distance_permit", "ends_on": TODAY + 300 * A_DAY}
    paper(vera, us_state="NY", **permit)
    remind_of_documents(clock=lambda: NOON)
    assert told() == [("Vera Holt", "document_missing")]

    assert still_active(Notification.objects.all()).count() == 1
    paper(vera, us_state="OR", **permit)
    assert still_active(Notification.objects.all()).count() == 0


def test_compliance_is_the_administrator__foreman_of_the_units_site(vera: Person) -> None:
    yard = make_site()
    give_role(vera, Role.ADMINISTRATOR)
    give_role(make_recipient("Hob Anselm"), Role.FOREMAN, yard)
    give_role(make_recipient("Dock Foreman"), Role.FOREMAN, make_site("River Dock"))
    late(vera, make_bare_unit("CU-15", kind=UnitKind.COOLING_UNIT, home_site=yard))

    assert escalate_late_documents(now=NOON + 3 * A_DAY) == 1
    assert told() == [("Hob Anselm", "unanswered_days"), ("Vera Holt", "document_overdue")]


def test_carrier_gives_longer__kept_to(vera: Person, ada: Person) -> None:
    late(vera)
    PolicyFactory.create(key="notification_document_escalation_days", value=10, valid_from=NOON)

    assert [escalate_late_documents(now=NOON + days * A_DAY) for days in (9, 10)] == [0, 1]
