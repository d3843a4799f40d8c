import datetime as dt
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from pytest_django import DjangoAssertNumQueries

from fleet.enums import NotificationKind, Role, UnitKind
from fleet.models import Carrier, Document, JobPlace, Notification, Person, Site, Unit
from fleet.services.documents.reminders.job import Reminded, remind_of_documents
from fleet.services.notifications.composing import sentence_of
from fleet.services.notifications.job import escalate_notifications
from fleet.services.notifications.refresh import as_of_now
from tests.factories.fleet import (
    DocumentFactory,
    PolicyFactory,
    give_role,
    make_bare_unit,
    make_carrier,
    make_recipient,
    make_site,
)
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase

NOON = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
TODAY = dt.date(2026, 3, 6)
"""NOON's day in the carrier's zone, Chicago."""
A_DAY = dt.timedelta(days=1)
CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def vera(db: None) -> Person:
    return carrier_with_vera()


def carrier_with_vera() -> Person:
    """Compliance, and a carrier that lacks nothing itself."""
    carrier = make_carrier()
    vera = make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    for kind in ("unified_registration_fee", "biennial_update"):
        paper(kind=kind, ends_on=dt.date(2099, 12, 31), recorded_by=vera)
    assert carrier.pk
    return vera


def paper(**fields: Any) -> Document:
    recorder = fields.pop("recorded_by", None) or Person.objects.get(name="Vera Holt")
    given: dict[str, Any] = {"kind": "registration", "recorded_at": NOON, "recorded_by": recorder, **fields}
    return DocumentFactory.create(**given)


def unit_with(number: str = "CU-15", site: Site | None = None, **fields: Any) -> Document:
    """A document of a cooling unit, of which nothing else is asked."""
    return paper(unit=make_bare_unit(number, kind=UnitKind.COOLING_UNIT, home_site=site), **fields)


def run_job(at: dt.datetime = NOON, **options: Any) -> Reminded:
    return remind_of_documents(clock=lambda: at, **options)


def told() -> list[tuple[str, str, str]]:
    rows = Notification.objects.select_related("person").order_by("created_at", "step", "person__name")
    return [(row.person.name, row.code, row.step) for row in rows]


class TestOnePaper:
    def test_step_has_come__one_notification_with_everything_it_says(self, vera: Person) -> None:
        document = unit_with(ends_on=TODAY + 30 * A_DAY, us_state="TX")

        assert run_job() == Reminded(created=1, looked_at=1 + 1, whole=True)

        notification = Notification.objects.get()
        assert (
            notification.kind,
            notification.code,
            notification.person,
            notification.unit,
            notification.subject_id,
            notification.step,
        ) == (
            NotificationKind.DOCUMENT_ENDING,
            "document_ending",
            vera,
            document.unit,
            document.pk,
            "2026-04-05:30-days-left",
        )
        assert (
            notification.urgent,
            notification.created_at,
            notification.acknowledged_at,
            notification.escalated_at,
            notification.snooze_reason,
        ) == (False, NOON, None, None, "")
        assert notification.dedupe_key == f"document_ending:{document.pk}:2026-04-05:30-days-left:{vera.pk}"
        assert sentence_of(notification, language="en", zone=CHICAGO) == (
            "Unit CU-15: registration (TX) expires Sun 5 Apr 2026. Days left: 30. After Sun 5 Apr "
            "2026 clearance is barred."
        )
        assert sentence_of(notification, language="es", zone=CHICAGO) == (
            "Unidad CU-15: registro del vehículo (TX) vence el dom 5 abr 2026. Días restantes: 30. "
            "Después del dom 5 abr 2026 la autorización queda impedida."
        )

    def test_no_step_has_come__nothing(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + 61 * A_DAY)
        unit_with("CU-16", ends_on=None)

        assert run_job().created == 0

    def test_swept_again__nothing_until_the_next_step(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + 3 * A_DAY)

        owed = [run_job(NOON + day * A_DAY).created for day in (0, 0, 1, 2, 3, 4, 9, 10, 16, 17)]

        assert owed == [1, 0, 0, 1, 1, 1, 0, 1, 0, 1]
        assert [step.partition(":")[2] for _, _, step in told()] == [
            "3-days-left",
            "1-days-left",
            "0-days-left",
            "1-days-overdue",
            "7-days-overdue",
            "14-days-overdue",
        ]

    def test_no_job_for_three_days__the_newest_step_is_owed_and_those_skipped_are_not(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + 3 * A_DAY)
        run_job()

        run_job(NOON + 3 * A_DAY)

        assert [step.partition(":")[2] for _, _, step in told()] == ["3-days-left", "0-days-left"]

    def test_last_day_passed_unseen__said_in_words_of_today(self, vera: Person) -> None:
        unit_with(ends_on=TODAY - 2 * A_DAY)

        run_job()

        assert sentence_of(Notification.objects.get(), language="en", zone=CHICAGO) == (
            "Unit CU-15: registration expired Wed 4 Mar 2026. Days overdue: 2. Clearance is barred."
        )

    def test_permit_of_one_trip__told_a_week_after_its_end_and_never_again(self, vera: Person) -> None:
        paper(unit=make_bare_unit("CU-15", kind=UnitKind.COOLING_UNIT), kind="trip_permit", ends_on=TODAY)
        assert [run_job(NOON + days * A_DAY).created for days in (0, 7, 8, 14, 700)] == [1, 1, 0, 0, 0]

    def test_fuel_tax_licence_in_january__in_grace_and_never_overdue(self, vera: Person) -> None:
        document = unit_with(kind="fuel_tax_licence", starts_on=dt.date(2025, 1, 1), ends_on=dt.date(2025, 12, 31))

        run_job(dt.datetime(2026, 1, 2, 18, tzinfo=dt.UTC))
        run_job(dt.datetime(2026, 3, 1, 18, tzinfo=dt.UTC))

        first, second = Notification.objects.filter(subject_id=document.pk).order_by("created_at")
        assert sentence_of(first, language="en", zone=CHICAGO) == (
            "Unit CU-15: fuel-tax licence and decals expired Wed 31 Dec 2025, in grace until Sat 28 "
            "Feb 2026. Days left: 57. After Sat 28 Feb 2026 clearance is barred."
        )
        assert (second.code, second.facts["days"]) == ("document_overdue", 1)

    def test_replaced__owes_nothing_more_and_the_next_one_counts_for_itself(self, vera: Person) -> None:
        old = unit_with(ends_on=TODAY)
        old.superseded_at = NOON
        old.save()
        new = paper(unit=old.unit, ends_on=TODAY + 7 * A_DAY)
        another = unit_with("CU-16", ends_on=TODAY)

        run_job()

        assert set(Notification.objects.values_list("subject_id", flat=True)) == {new.pk, another.pk}

    def test_end_mended__counted_anew(self, vera: Person) -> None:
        document = unit_with(ends_on=TODAY + 7 * A_DAY)
        run_job()
        document.ends_on = TODAY + 6 * A_DAY
        document.save()

        run_job()

        assert [step for _, _, step in told()] == ["2026-03-12:7-days-left", "2026-03-13:7-days-left"]

    def test_carrier_reads_inspections_by_month_end__counted_to_that(self, vera: Person) -> None:
        unit_with(kind="periodic_inspection", ends_on=dt.date(2026, 3, 9), ends_on_month=dt.date(2026, 3, 31))
        PolicyFactory.create(key="periodic_inspection_reading", value="by_month_end", valid_from=NOON)

        run_job()

        assert [step for _, _, step in told()] == ["2026-03-31:30-days-left"]

    def test_carrier_wants_other_lead_times__kept_to(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + 90 * A_DAY)
        PolicyFactory.create(key="lead_times", value={"registration": [90, 5]}, valid_from=NOON)

        assert run_job().created == 1
        assert [step for _, _, step in told()] == ["2026-06-04:90-days-left"]


class TestSubjects:
    def test_retired_unit_and_person_who_left__nothing(self, vera: Person) -> None:
        document = unit_with(ends_on=TODAY)
        Unit.objects.filter(documents=document).update(retired_on=TODAY)
        paper(kind="medical_certificate", person=make_recipient("Gone Driver", left_on=TODAY), ends_on=TODAY)

        assert run_job().created == 0

    def test_own_document_of_a_person__told_to_them_and_to_compliance_at_their_site(self, vera: Person) -> None:
        yard = make_site()
        give_role(make_recipient("Una Yard"), Role.COMPLIANCE, yard)
        give_role(make_recipient("Dana Dock"), Role.COMPLIANCE, make_site("River Dock"))
        paper(kind="medical_certificate", person=make_recipient("Iris Quade", home_site=yard), ends_on=TODAY)

        run_job()

        assert [name for name, _, _ in told()] == ["Iris Quade", "Una Yard", "Vera Holt"]
        assert sentence_of(Notification.objects.all()[0], language="en", zone=CHICAGO) == (
            "Iris Quade: driver's medical certificate expires Fri 6 Mar 2026. Days left: 0. After "
            "Fri 6 Mar 2026 clearance is barred."
        )

    def test_compliance_manager_with_a_document_of_her_own__notified_once(self, vera: Person) -> None:
        paper(kind="medical_certificate", person=vera, ends_on=TODAY)

        assert run_job().created == 1

    def test_document_of_the_carrier__told_to_compliance(self, vera: Person) -> None:
        paper(kind="insurance", ends_on=TODAY)

        run_job()

        assert sentence_of(Notification.objects.get(), language="en", zone=CHICAGO) == (
            "The carrier: liability insurance expires Fri 6 Mar 2026. Days left: 0. After Fri 6 Mar "
            "2026 clearance is barred."
        )

    def test_nobody_holds_compliance_at_the_units_site__whoever_holds_it(self, db: None) -> None:
        make_carrier()
        dock = make_recipient("Dana Dock")
        give_role(dock, Role.COMPLIANCE, make_site("River Dock"))
        unit_with(site=make_site(), ends_on=TODAY, recorded_by=dock)

        run_job()

        assert {name for name, code, _ in told() if code == "document_ending"} == {"Dana Dock"}

    def test_unit_of_others__named_with_its_owner(self, vera: Person) -> None:
        document = unit_with(ends_on=TODAY)
        Unit.objects.filter(documents=document).update(owner="Blue Heron Leasing")

        run_job()

        assert sentence_of(Notification.objects.get(), language="en", zone=CHICAGO).startswith(
            "Unit CU-15@Blue Heron Leasing: "
        )


class TestMissing:
    def test_unit_without_what_it_should_have__told_weekly_until_it_is_there(self, vera: Person) -> None:
        unit = make_bare_unit("LR-46", kind=UnitKind.TRAILER)
        paper(unit=unit, ends_on=TODAY + 300 * A_DAY)

        owed = [run_job(NOON + day * A_DAY).created for day in (0, 1, 2, 3, 9)]
        paper(unit=unit, kind="periodic_inspection", ends_on=TODAY + 300 * A_DAY)
        owed.append(run_job(NOON + 17 * A_DAY).created)

        assert owed == [1, 0, 0, 1, 0, 0]  # 6 March 2026 is a Friday
        notification = Notification.objects.order_by("created_at")[0]
        assert (notification.code, notification.unit, notification.subject_id, notification.step) == (
            "document_missing",
            unit,
            unit.pk,
            "periodic_inspection:2026-W10",
        )
        assert sentence_of(notification, language="en", zone=CHICAGO) == (
            "Unit LR-46: periodic inspection missing. Clearance is barred."
        )

    def test_condition_that_the_carrier_set__asked_for(self, vera: Person) -> None:
        PolicyFactory.create(
            key="document_conditions",
            value={"cooling_unit": [], "tractor": ["crosses_state_lines"], "carrier": ["for_hire"]},
            valid_from=NOON,
        )
        make_bare_unit("NL-15", kind=UnitKind.TRACTOR)
        make_bare_unit("CU-45", kind=UnitKind.COOLING_UNIT)

        run_job()

        assert sorted(step.partition(":")[0] for _, _, step in told()) == [
            "apportioned_cab_card",
            "fuel_tax_licence",
            "insurance",
            "periodic_inspection",
            "registration",
        ]

    def test_document_by_state__asked_for_where_the_carrier_runs_and_the_state_is_named(self, vera: Person) -> None:
        unit = make_bare_unit("NL-15", kind=UnitKind.TRACTOR)
        for kind, state in (("registration", "TX"), ("periodic_inspection", ""), ("weight_distance_permit", "NM")):
            paper(unit=unit, kind=kind, us_state=state, ends_on=TODAY + 300 * A_DAY)
        PolicyFactory.create(key="states_run", value=["NM", "OR", "TX"], valid_from=NOON)

        run_job()

        notification = Notification.objects.get()
        assert notification.step == "weight_distance_permit:OR:2026-W10"
        assert sentence_of(notification, language="en", zone=CHICAGO) == (
            "Unit NL-15: weight-distance permit (OR) missing. Clearance is barred."
        )

    def test_carrier_without_its_own_documents__told(self, db: None) -> None:
        make_carrier()
        make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))

        assert run_job().created == 2
        assert run_job().created == 0
        assert {notification.subject_id for notification in Notification.objects.all()} == {Carrier.objects.get().pk}


class TestTheRun:
    def test_before_the_carrier_is_recorded__nothing_to_do(self, db: None) -> None:
        assert run_job() == Reminded(created=0, looked_at=0, whole=True)

    @pytest.mark.parametrize("size", [1, 2, 7, 100])
    def test_pages_of_any_size__every_document_once(self, vera: Person, size: int) -> None:
        for number in range(14):
            unit_with(f"CU-{number}", ends_on=TODAY + (number % 3) * A_DAY)

        done = run_job(size=size)

        assert (done.created, done.looked_at, done.whole) == (14, 28, True)
        assert set(Notification.objects.values_list("subject_id", flat=True)) == set(
            Document.objects.filter(unit__isnull=False).values_list("pk", flat=True)
        )

    def test_time_is_up__stops_after_a_page_and_the_next_run_goes_on(self, vera: Person) -> None:
        for number in range(6):
            unit_with(f"CU-{number}", ends_on=TODAY)
        instants = iter([NOON, NOON + dt.timedelta(seconds=31)])

        cut = remind_of_documents(clock=lambda: next(instants), size=2)

        assert (cut.created, cut.whole) == (2, False)
        assert run_job(size=2) == Reminded(created=4, looked_at=4 + 6, whole=True)
        assert run_job(size=2).looked_at == 6 + 6
        assert JobPlace.objects.count() == 0

    def test_cut_off_again_and_again__ends_after_as_many_runs_as_pages(self, vera: Person) -> None:
        for number in range(5):
            unit_with(f"CU-{number}", ends_on=TODAY + number * A_DAY)
        make_bare_unit("LR-46", kind=UnitKind.TRAILER)

        runs = [run_job(size=2, stop=lambda: True) for _ in range(20)]

        whole = [run.whole for run in runs].index(True)
        assert sum(run.created for run in runs[: whole + 1]) == Notification.objects.count() == 7
        assert whole == 7

    def test_cut_off_on_one_day__starts_anew_on_the_next(self, vera: Person) -> None:
        for number in range(6):
            unit_with(f"CU-{number}", ends_on=TODAY + 3 * A_DAY)
        run_job(size=2, stop=lambda: True)

        run_job(size=2)
        run_job(NOON + 2 * A_DAY, size=2, stop=lambda: True)

        assert run_job(NOON + 3 * A_DAY, size=2).created == 6

    def test_asked_to_stop__stops_after_a_page(self, vera: Person) -> None:
        for number in range(6):
            unit_with(f"CU-{number}", ends_on=TODAY)

        assert (run_job(size=2, stop=lambda: True).created, Notification.objects.count()) == (2, 2)

    def test_two_and_forty_documents__same_statements(
        self, vera: Person, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        for count in (2, 40):
            for number in range(count):
                unit_with(f"CU-{count}-{number}", ends_on=TODAY + number * A_DAY)
            with django_assert_num_queries(23):  # of these six are savepoints and their releases
                run_job()


SLOW_INSERT = """
    CREATE FUNCTION take_time() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN PERFORM pg_sleep(0.01); RETURN NEW; END $$;
    CREATE TRIGGER slow BEFORE INSERT ON fleet_notification FOR EACH ROW EXECUTE FUNCTION take_time();
"""


def slowly_filled() -> None:
    carrier_with_vera()
    make_recipient("Una Holt", roles=(Role.COMPLIANCE,))
    for number in range(12):
        unit_with(f"CU-{number}", ends_on=TODAY + (number % 4) * A_DAY)
    with connection.cursor() as cursor:
        cursor.execute(SLOW_INSERT)


def keys() -> set[tuple[UUID | None, UUID, str]]:
    return set(Notification.objects.values_list("subject_id", "person_id", "step"))


def test_eight_jobs_at_once__every_step_owed_once_to_each_person(committing_db: CommittingDatabase) -> None:
    slowly_filled()

    runs = at_once(8, lambda: run_job(size=5))

    assert sum(run.created for run in runs) == Notification.objects.count() == len(keys()) == 24


def test_control_eight_jobs_without_the_constraint__owed_more_than_once(committing_db: CommittingDatabase) -> None:
    slowly_filled()
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT conname FROM pg_constraint WHERE conrelid = 'fleet_notification'::regclass AND contype = 'u'"
        )
        for (name,) in cursor.fetchall():
            cursor.execute(f'ALTER TABLE fleet_notification DROP CONSTRAINT "{name}"')

    at_once(8, lambda: run_job(size=5))

    assert len(keys()) == 24
    assert Notification.objects.count() > 24


class TestOfTheMoment:
    """Days are counted when a notification is sent or read, whatever stood still since it was owed."""

    def test_on_the_day_of_each_step_and_the_first_after_the_end__told_anew(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + 60 * A_DAY)
        steps = [60, 30, 14, 7, 3, 1, 0, -1, -7]
        around = sorted({left + day for left in steps for day in (-1, 0, 1)} - {61}, reverse=True)
        assert [left for left in around if run_job(NOON + (60 - left) * A_DAY).created] == steps

    def test_owed_before_days_without_a_beat__sent_and_read_with_the_days_of_now(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + 3 * A_DAY)
        run_job()
        (notification,) = Notification.objects.all()

        as_read = {days: worded(notification.pk, NOON + days * A_DAY) for days in (0, 2, 5)}

        assert "expires Mon 9 Mar 2026. Days left: 3. After Mon 9 Mar 2026 clearance is barred." in as_read[0]
        assert "expires Mon 9 Mar 2026. Days left: 1. After Mon 9 Mar 2026 clearance is barred." in as_read[2]
        assert "expired Mon 9 Mar 2026. Days overdue: 2. Clearance is barred." in as_read[5]
        notification.refresh_from_db()
        assert (notification.code, notification.facts["days"]) == ("document_ending", 3)

    def test_escalated_and_sent_days_later__counts_both_by_then(self, vera: Person) -> None:
        make_recipient("Ada Min", roles=(Role.ADMINISTRATOR,))
        unit_with(ends_on=TODAY - A_DAY)
        run_job()
        escalate_notifications(now=NOON + 3 * A_DAY)
        notification = Notification.objects.get(code="unanswered_days")

        said = worded(notification.pk, NOON + 5 * A_DAY)

        assert "Not acknowledged for 5 days. " in said
        assert "Days overdue: 6." in said

    def test_end_mended_so_that_nothing_is_due__no_letter(self, vera: Person) -> None:
        document = unit_with(ends_on=TODAY)
        run_job()
        Document.objects.filter(pk=document.pk).update(ends_on=TODAY + 200 * A_DAY)

        assert as_of_now(Notification.objects.all(), now=NOON) == []

    def test_two_steps_in_one_letter__said_once(self, vera: Person) -> None:
        unit_with(ends_on=TODAY + A_DAY)
        run_job()
        run_job(NOON + A_DAY)
        assert Notification.objects.count() == 2

        assert len(as_of_now(Notification.objects.all(), now=NOON + A_DAY)) == 1


def worded(notification: UUID, now: dt.datetime) -> str:
    (reads,) = as_of_now(Notification.objects.filter(pk=notification), now=now)
    return sentence_of(reads, language="en", zone=CHICAGO)
