"""The function that removes what entries said: only past its date, where no legal hold stands, and never unrecorded."""

import datetime as dt
from pathlib import Path
from uuid import UUID

import pytest
from django.db import DatabaseError, connection, transaction
from psycopg import errors

from common.ids import uuid7
from fleet.models import Deletion, HistoryContent, HistoryEntry, LegalHold, Unit
from fleet.services.records.verification.verify import verify_history
from tests.factories.fleet import NOON, LegalHoldFactory, Tamper, make_recipient, write_entries

RECORDED = dt.datetime(2019, 1, 31, 12, tzinfo=dt.UTC)
RETAINED_UNTIL = dt.date(2020, 1, 31)
DAY_AFTER = dt.date(2020, 2, 1)
PURGE = "SELECT purge_history_content(%s, %s, %s, %s, 'the rule', 'its source')"


@pytest.fixture
def entry(units: list[Unit]) -> HistoryEntry:
    """An entry of 2019 after six younger ones of another unit's history; maintenance, so kept for a year."""
    write_entries(units[3], 3, RECORDED)
    found = HistoryEntry.objects.get(unit=units[3], sequence=2)
    assert (found.content.record_kind, found.content.retained_until) == ("maintenance", RETAINED_UNTIL)
    return found


def purge(entry: HistoryEntry, today: dt.date = DAY_AFTER, kind: str = "maintenance", run: UUID | None = None) -> int:
    with connection.cursor() as cursor:
        cursor.execute(PURGE, [kind, [entry.pk], today, run or uuid7()])
        row = cursor.fetchone()
    assert row is not None
    return int(row[0])


def is_there(entry: HistoryEntry) -> bool:
    """Whether what the entry said is there, and whole: no deletion is on record then, and one where it is gone."""
    there = HistoryContent.objects.filter(entry=entry).exists()
    assert Deletion.objects.filter(entry=entry).exists() is not there
    return there


def place_hold(unit: Unit, lifted_at: dt.datetime | None = None) -> LegalHold:
    person = make_recipient("Vera Holt")
    return LegalHoldFactory.create(
        unit=unit,
        cause="claim",
        reason="claim over a load",
        placed_by=person,
        lifted_at=lifted_at,
        lifted_by=person if lifted_at else None,
        lift_reason="settled" if lifted_at else "",
    )


def test_past_its_date__content_gone_entry_whole_and_history_sound(entry: HistoryEntry, digests: Path) -> None:
    assert purge(entry) == 1

    assert not is_there(entry)
    kept = HistoryEntry.objects.get(pk=entry.pk)
    assert bytes(kept.entry_hash) == bytes(entry.entry_hash)
    assert bytes(kept.content_hash) == bytes(entry.content_hash)
    check = verify_history(digests=digests)
    assert list(check) == []
    assert check.purged == 1
    assert HistoryContent.objects.count() == 20


def test_deletion__on_record_with_what_it_was_by_which_rule_and_the_hash_that_stays(entry: HistoryEntry) -> None:
    job = uuid7()

    purge(entry, run=job)

    (row,) = Deletion.objects.values(
        "what", "record", "unit_id", "unit_name", "subject", "event", "record_kind", "retained_until", "rule", "source",
        "content_hash", "run",
    )  # fmt: skip
    assert row == {
        "what": "history_content",
        "record": entry.pk,
        "unit_id": entry.unit_id,
        "unit_name": "LR-44",
        "subject": None,
        "event": "defect_reported",
        "record_kind": "maintenance",
        "retained_until": RETAINED_UNTIL,
        "rule": "the rule",
        "source": "its source",
        "content_hash": bytes(entry.content_hash).hex(),
        "run": job,
    }


def test_on_its_last_day__kept(entry: HistoryEntry) -> None:
    assert purge(entry, RETAINED_UNTIL) == 0
    assert is_there(entry)


def test_without_a_date__kept(entry: HistoryEntry, tamper: Tamper) -> None:
    tamper("UPDATE fleet_historycontent SET retained_until = NULL WHERE entry_id = %s", entry.pk)

    assert purge(entry, dt.date(2026, 1, 1)) == 0
    assert is_there(entry)


def test_date_that_is_shorter_than_any_rule_asks__kept_for_three_months(entry: HistoryEntry, tamper: Tamper) -> None:
    tamper("UPDATE fleet_historycontent SET retained_until = '2019-02-01', record_kind = 'load'")

    assert purge(entry, dt.date(2019, 4, 30), kind="load") == 0
    assert purge(entry, dt.date(2019, 5, 1), kind="load") == 1


def test_another_record_kind_named__kept(entry: HistoryEntry) -> None:
    assert purge(entry, kind="driver_report") == 0
    assert is_there(entry)


def test_legal_hold_on_the_unit__kept(entry: HistoryEntry) -> None:
    place_hold(entry.unit)

    assert purge(entry) == 0
    assert is_there(entry)


def test_legal_hold_lifted__may_go(entry: HistoryEntry) -> None:
    place_hold(entry.unit, lifted_at=NOON)

    assert purge(entry) == 1


def test_legal_hold_on_another_unit__may_go(entry: HistoryEntry, units: list[Unit]) -> None:
    place_hold(units[0])

    assert purge(entry) == 1


@pytest.mark.parametrize(
    ("left", "last_day"), [(dt.date(2019, 7, 31), RETAINED_UNTIL), (dt.date(2019, 8, 31), dt.date(2020, 2, 29))]
)
def test_unit_that_left_the_carriers_control__kept_six_months_after(
    entry: HistoryEntry, left: dt.date, last_day: dt.date
) -> None:
    Unit.objects.filter(pk=entry.unit_id).update(retired_on=left)

    assert purge(entry, last_day) == 0
    assert purge(entry, last_day + dt.timedelta(days=1)) == 1
    assert Deletion.objects.get().retained_until == last_day


def test_day_ahead_of_the_clock__refused(entry: HistoryEntry) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_date + 1")
        row = cursor.fetchone()
    assert row is not None

    with pytest.raises(DatabaseError) as raised:
        purge(entry, row[0])

    assert isinstance(raised.value.__cause__, errors.CheckViolation)
    assert is_there(entry)


def test_old_snapshot__refused_since_a_legal_hold_would_be_missed(entry: HistoryEntry) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        with pytest.raises(DatabaseError, match="reads what is committed"), transaction.atomic():
            purge(entry)


def test_purged_once__second_time_says_none(entry: HistoryEntry) -> None:
    purge(entry)

    assert purge(entry) == 0
    assert Deletion.objects.count() == 1


def test_broken_off_before_the_end__neither_deleted_nor_on_record(entry: HistoryEntry) -> None:
    with transaction.atomic():
        assert purge(entry) == 1
        transaction.set_rollback(True)

    assert is_there(entry)
    assert purge(entry) == 1


def test_permission_of_one_purge__does_not_reach_the_entries_beside_it(entry: HistoryEntry) -> None:
    with transaction.atomic():
        purge(entry)

        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            HistoryContent.objects.filter(entry__unit=entry.unit).delete()
