"""Reminders of the answer due to an officer's report go out until it is given, each step once."""

import datetime as dt
from zoneinfo import ZoneInfo

from defects.models import RoadsideInspection
from defects.services.roadside.reminders import remind_of_answers
from fleet.enums import NotificationKind
from fleet.models import Notification
from fleet.services.notifications.composing import sentence_of
from tests.factories.fleet import NOON, TODAY
from tests.support.dock import Dock

CHICAGO = ZoneInfo("America/Chicago")
DAY = dt.timedelta(days=1)


def reminded(day: int) -> list[str]:
    """The steps that a job at noon, so many days after the inspection, owes anew."""
    before = set(Notification.objects.values_list("pk", flat=True))
    owed = remind_of_answers(now=NOON + day * DAY)
    new = Notification.objects.exclude(pk__in=before)
    assert owed == len(new)
    return [notification.dedupe_key.split(":")[2] for notification in new]


def test_every_day_of_a_month__the_steps_to_compliance_alone_and_nothing_twice(dock: Dock) -> None:
    inspection = dock.inspected(dock.brake("axle-1-left"))
    assert inspection.answer_due_on == TODAY + 15 * DAY

    owed = {day: reminded(day) for day in range(31)}

    assert {day: steps for day, steps in owed.items() if steps} == {
        8: ["due-7"],
        12: ["due-3"],
        14: ["due-1"],
        15: ["due-0"],
        **{15 + late: [f"overdue-{late}"] for late in range(1, 8)},
        29: ["overdue-14"],
    }
    told = Notification.objects.filter(kind=NotificationKind.ROADSIDE_ANSWER_DUE)
    assert {notification.person.name for notification in told} == {"Vera Holt"}
    assert {notification.urgent for notification in told} == {False}


def test_no_job_for_days__only_the_newest_step(dock: Dock) -> None:
    dock.inspected(dock.brake("axle-1-left"))
    assert reminded(13) == ["due-3"]
    assert reminded(13) == []
    assert reminded(18) == ["overdue-3"]


def test_last_day__counted_in_the_carriers_zone(dock: Dock) -> None:
    """Half past eleven in the evening in Chicago is the next day in UTC."""
    dock.inspected(dock.brake("axle-1-left"))
    late_evening = dt.datetime(2026, 3, 22, 4, 30, tzinfo=dt.UTC)
    remind_of_answers(now=late_evening)
    notification = Notification.objects.get(dedupe_key__contains=":due-")
    assert notification.dedupe_key.split(":")[2] == "due-0"
    assert sentence_of(notification, language="en", zone=CHICAGO) == (
        "Answer the officer's report IA-1 today, Sat 21 Mar 2026."
    )
    assert sentence_of(notification, language="es", zone=CHICAGO) == (
        "Responda hoy, sáb 21 mar 2026, el reporte del oficial IA-1."
    )


def test_answered_or_clean__nothing_is_owed(dock: Dock) -> None:
    answered = dock.inspected(dock.brake("axle-1-left"))
    RoadsideInspection.objects.filter(pk=answered.pk).update(answer_due_on=None, is_clean=True)
    dock.inspected(number="IA-2")
    assert reminded(15) == []
