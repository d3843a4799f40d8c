"""The job over everything past its days: what it takes and leaves, twice at once, beside writers, as a list."""

import datetime as dt
import io
from collections import Counter

import psycopg
import pytest
from django.core.management import call_command
from django.db import connections, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from common.days import add_months
from config.local.roles import PURGE
from fleet.models import Deletion, HistoryContent, HistoryEntry, LegalHold, Unit
from fleet.services.records.purging.job import due_records, purge_records
from fleet.services.records.unit_of_work import UnitOfWork, lock_units
from fleet.services.records.verification.verify import verify_history
from tests.factories.fleet import LegalHoldFactory, Tamper, make_bare_unit, make_carrier, make_recipient, write_entries
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase

OLD = dt.datetime(2019, 1, 31, 12, tzinfo=dt.UTC)
LATE = dt.datetime(2024, 6, 1, 12, tzinfo=dt.UTC)


def written(unit: Unit, kind: str, at: dt.datetime) -> HistoryEntry:
    with transaction.atomic():
        work = UnitOfWork.begin([unit.pk], actor=None, now=at)
        work.record(unit.pk, kind, subject=None, body={"kind": kind})
        (entry,) = work.write()
    return entry


def freeze(unit: Unit) -> LegalHold:
    return LegalHoldFactory.create(unit=unit, reason="struck a gate", placed_by=make_recipient("Vera Holt"))


def gone() -> set[object]:
    return set(HistoryEntry.objects.filter(content__isnull=True).values_list("pk", flat=True))


def test_old_and_young__the_old_go_and_the_job_says_how_many(units: list[Unit]) -> None:
    write_entries(units[3], 3, OLD)

    purged = purge_records(now=LATE)

    assert purged.records == 3
    assert set(Deletion.objects.values_list("run", "unit_id", "source")) == {
        (purged.run, units[3].pk, "49 CFR 396.3(c)")
    }
    assert gone() == set(HistoryEntry.objects.filter(unit=units[3]).values_list("pk", flat=True))
    assert list(verify_history()) == []
    assert purge_records(now=LATE).records == 0


def test_day_is_the_carriers_and_never_one_that_has_not_begun(committing_db: CommittingDatabase) -> None:
    make_carrier("America/Chicago")
    entry = written(make_bare_unit(), "meter_read", dt.datetime(2019, 2, 1, 3, tzinfo=dt.UTC))  # 31 January in Chicago
    assert entry.content.retained_until == dt.date(2020, 1, 31)

    assert purge_records(now=dt.datetime(2020, 2, 1, 5, tzinfo=dt.UTC)).records == 0
    assert purge_records(now=dt.datetime(2020, 2, 1, 7, tzinfo=dt.UTC)).records == 1


def test_six_jobs_at_once__each_record_deleted_and_recorded_once(units: list[Unit]) -> None:
    write_entries(units[3], 40, OLD)

    purged = at_once(6, lambda: purge_records(now=LATE))

    assert sum(one.records for one in purged) == 40
    assert Counter(Deletion.objects.values_list("run", flat=True)) == Counter(
        {one.run: one.records for one in purged if one.records}
    )
    assert len(gone()) == 40


def test_unit_that_is_being_frozen__waits_and_is_frozen_then(
    units: list[Unit], committing_db: CommittingDatabase
) -> None:
    write_entries(units[3], 3, OLD)
    with psycopg.connect(committing_db.purge.url(), autocommit=True) as purge, transaction.atomic():
        lock_units([units[3].pk])
        freeze(units[3])  # not committed: nobody else can see it yet
        entries = list(HistoryEntry.objects.filter(unit=units[3]).values_list("pk", flat=True))
        row = purge.execute(
            "SELECT purge_history_content('maintenance', %s, '2024-01-01', gen_random_uuid(), 'r', 's')", [entries]
        ).fetchone()
        assert row == (0,)

    assert purge_records(now=LATE).records == 0
    assert HistoryContent.objects.filter(entry__unit=units[3]).count() == 3


def test_dry_run__lists_what_then_goes_and_deletes_nothing(units: list[Unit]) -> None:
    write_entries(units[3], 3, OLD)
    output = io.StringIO()

    call_command("purge_records", "--dry-run", stdout=output)

    *lines, last = output.getvalue().splitlines()
    assert gone() == set()
    assert not Deletion.objects.exists()
    assert last == f"{len(lines)} records would be deleted; nothing was"
    listed = {line.split()[3] for line in lines}
    assert lines[0].startswith("LR-44 history_content defect_reported ")
    assert lines[0].endswith(" maintenance 2020-01-31")

    call_command("purge_records", stdout=output)

    assert {str(pk) for pk in gone()} == listed
    assert f"{len(listed)} records deleted by run" in output.getvalue()


def test_written_before_record_kinds__given_their_day_first(units: list[Unit], tamper: Tamper) -> None:
    write_entries(units[3], 3, OLD)
    tamper("UPDATE fleet_historycontent SET record_kind = '', retained_until = NULL")

    assert len(list(due_records(now=LATE))) == 3

    assert set(HistoryContent.objects.filter(entry__unit=units[3]).values_list("record_kind", "retained_until")) == {
        ("maintenance", dt.date(2020, 1, 31))
    }
    assert purge_records(now=LATE).records == 3


def test_as_the_role_that_purges__done_without_a_right_on_any_table(
    units: list[Unit], monkeypatch: pytest.MonkeyPatch, committing_db: CommittingDatabase
) -> None:
    write_entries(units[3], 3, OLD)
    own = {**connections.settings["default"], "USER": PURGE, "PASSWORD": committing_db.purge.password}
    monkeypatch.setitem(connections.settings, "purge", own)
    try:
        with CaptureQueriesContext(connections["purge"]) as captured:
            assert purge_records(now=LATE).records == 3
        assert any("purge_history_content" in query["sql"] for query in captured)
        with connections["purge"].cursor() as cursor:
            cursor.execute("SELECT current_user")
            assert cursor.fetchone() == (PURGE,)
    finally:
        connections["purge"].close()
        del connections["purge"]


def test_as_the_web_role__refused_and_nothing_deleted(units: list[Unit], committing_db: CommittingDatabase) -> None:
    write_entries(units[3], 3, OLD)
    with (
        psycopg.connect(committing_db.web.url(), autocommit=True) as web,
        pytest.raises(psycopg.errors.InsufficientPrivilege),
    ):
        web.execute("SELECT purge_history_content('maintenance', '{}', '2024-01-01', gen_random_uuid(), 'r', 's')")
    assert gone() == set()


EVENTS = {"meter_read": ("maintenance", 12), "report_signed": ("driver_report", 3), "unit_added": ("unit_file", 3)}
TODAY = dt.date(2022, 6, 15)
AROUND = st.sampled_from((-400, -2, -1, 0, 1, 100))
"""Days from a record's last day of keeping to TODAY, turned round: below nothing it is past."""


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    entries=st.lists(st.tuples(st.integers(0, 2), st.sampled_from(sorted(EVENTS)), AROUND), min_size=4, max_size=10),
    frozen=st.tuples(st.booleans(), st.none(), st.booleans()),
    left=st.tuples(st.none() | AROUND, st.none() | AROUND, st.none()),
)
@pytest.mark.django_db
def test_whatever_there_is__exactly_what_is_past_its_date_and_free_goes(
    entries: list[tuple[int, str, int]], frozen: tuple[bool | None, ...], left: tuple[int | None, ...]
) -> None:
    """Against months counted here: nothing within its date, nothing frozen, nothing kept for good, and all the rest."""
    with transaction.atomic():
        units = [make_bare_unit(f"LR-{number}") for number in range(3)]
        rows = [(place, kind, written(units[place], kind, _ending(kind, off))) for place, kind, off in entries]
        for unit, is_frozen, off in zip(units, frozen, left, strict=True):
            if is_frozen:
                freeze(unit)
            if off is not None:
                unit.retired_on = add_months(TODAY, -6) + dt.timedelta(days=off)
                unit.save(update_fields=["retired_on"])

        purge_records(now=dt.datetime.combine(TODAY, dt.time(12), dt.UTC))

        expected = {
            entry.pk
            for place, kind, entry in rows
            if kind != "unit_added" and not frozen[place] and _last_day(kind, entry, units[place].retired_on) < TODAY
        }
        assert gone() == expected
        assert set(Deletion.objects.values_list("record", flat=True)) == expected
        transaction.set_rollback(True)


def _ending(kind: str, off: int) -> dt.datetime:
    day = add_months(TODAY, -EVENTS[kind][1]) + dt.timedelta(days=off)
    return dt.datetime.combine(day, dt.time(12), dt.UTC)


def _last_day(kind: str, entry: HistoryEntry, left: dt.date | None) -> dt.date:
    until = add_months(entry.performed_at.date(), EVENTS[kind][1])
    return max(until, add_months(left, 6)) if left and kind == "meter_read" else until
