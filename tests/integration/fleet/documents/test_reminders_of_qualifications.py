"""Ends of qualifications are told like documents: to compliance and to whoever is qualified."""

import datetime as dt
from typing import Any

import pytest

from fleet.enums import NotificationKind, Role, Scope
from fleet.models import Notification, Person, Qualification
from fleet.services.notifications.composing import sentence_of
from fleet.services.notifications.endings import still_active
from fleet.services.notifications.job import escalate_notifications
from fleet.services.notifications.refresh import as_of_now
from tests.factories.fleet import QualificationFactory, give_role, make_recipient, make_site
from tests.integration.fleet.documents.test_reminders import (
    A_DAY,
    CHICAGO,
    NOON,
    TODAY,
    carrier_with_vera,
    paper,
    run_job,
    told,
)


@pytest.fixture
def vera(db: None) -> Person:
    return carrier_with_vera()


@pytest.fixture
def greta(vera: Person) -> Person:
    return make_recipient("Greta Lund")


def qualified(person: Person, **fields: Any) -> Qualification:
    given: dict[str, Any] = {
        "scope": Scope.BRAKES_INSPECT,
        "evidence": "training record",
        "starts_on": dt.date(2020, 1, 1),
        "recorded_by": Person.objects.get(name="Vera Holt"),
        "recorded_at": NOON,
        **fields,
    }
    return QualificationFactory.create(person=person, **given)


def test_step_has_come__told_to_whoever_is_qualified_and_to_compliance_at_their_site(vera: Person) -> None:
    yard = make_site()
    give_role(make_recipient("Una Yard"), Role.COMPLIANCE, yard)
    give_role(make_recipient("Dana Dock"), Role.COMPLIANCE, make_site("River Dock"))
    held = qualified(make_recipient("Greta Lund", home_site=yard), ends_on=TODAY + 30 * A_DAY)

    assert (run_job().created, run_job().created) == (3, 0)

    step = "2026-04-05:30-days-left"
    assert told() == [(name, "document_ending", step) for name in ("Greta Lund", "Una Yard", "Vera Holt")]
    notification = Notification.objects.all()[0]
    assert (notification.kind, notification.subject_id, notification.unit, notification.urgent) == (
        NotificationKind.DOCUMENT_ENDING,
        held.pk,
        None,
        False,
    )
    assert sentence_of(notification, language="en", zone=CHICAGO) == (
        "Greta Lund: qualified to inspect brakes expires Sun 5 Apr 2026. Days left: 30. The "
        "qualification is valid through Sun 5 Apr 2026."
    )
    assert sentence_of(notification, language="es", zone=CHICAGO) == (
        "Greta Lund: calificación para inspeccionar frenos vence el dom 5 abr 2026. Días restantes: 30. "
        "La calificación es válida hasta el dom 5 abr 2026."
    )


def test_reminder_steps__notify_on_each_day_and_weekly_after_the_end(greta: Person) -> None:
    qualified(greta, ends_on=TODAY + 60 * A_DAY)
    steps = [60, 30, 14, 7, 3, 1, 0, -1, -7, -14, -21, -28]
    around = sorted({left + day for left in (*steps, -35) for day in (-1, 0, 1)} - {61}, reverse=True)
    assert [left for left in around if run_job(NOON + (60 - left) * A_DAY).created] == steps


def test_document_and_qualification_of_one_person__both(greta: Person) -> None:
    paper(kind="medical_certificate", person=greta, ends_on=TODAY)
    qualified(greta, ends_on=TODAY)
    assert run_job().created == 4


@pytest.mark.parametrize("later", [{"ends_on": None}, {"ends_on": TODAY + 400 * A_DAY}])
def test_newer_evidence_for_the_same_work__owes_nothing_and_what_was_owed_has_ended(
    greta: Person, later: dict[str, Any]
) -> None:
    qualified(greta, ends_on=TODAY)
    assert run_job().created == 2
    assert still_active(Notification.objects.all()).count() == 2

    qualified(greta, **later)

    assert still_active(Notification.objects.all()).count() == 0
    assert run_job(NOON + A_DAY).created == 0


def test_evidence_for_other_work__does_not_stand_in(greta: Person) -> None:
    qualified(greta, ends_on=TODAY)
    qualified(greta, scope=Scope.TIRES, ends_on=None)
    assert run_job().created == 2


def test_person_who_left__nothing_and_what_was_owed_has_ended(greta: Person) -> None:
    qualified(greta, ends_on=TODAY)
    run_job()
    Person.objects.filter(pk=greta.pk).update(left_on=TODAY)

    assert still_active(Notification.objects.all()).count() == 0
    assert run_job(NOON + A_DAY).created == 0


def test_without_an_end_or_long_before_it__nothing(greta: Person) -> None:
    qualified(greta, ends_on=None)
    qualified(greta, scope=Scope.TIRES, ends_on=TODAY + 61 * A_DAY)
    assert run_job().created == 0


def test_read_days_later__counted_by_then(greta: Person) -> None:
    qualified(greta, ends_on=TODAY + 3 * A_DAY)
    run_job()

    (reads,) = as_of_now(Notification.objects.filter(person=greta), now=NOON + 5 * A_DAY)

    assert sentence_of(reads, language="en", zone=CHICAGO) == (
        "Greta Lund: qualified to inspect brakes expired Mon 9 Mar 2026. Days overdue: 2. The "
        "qualification is not valid."
    )


def test_overdue_and_answered_by_nobody__goes_to_the_administrator(greta: Person) -> None:
    make_recipient("Ada Min", roles=(Role.ADMINISTRATOR,))
    qualified(greta, ends_on=TODAY - A_DAY)
    run_job()
    escalate_notifications(now=NOON + 3 * A_DAY)
    assert Notification.objects.get(code="unanswered_days").person.name == "Ada Min"
