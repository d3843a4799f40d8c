"""The one function that may remove what an entry said: only past its date, only where no legal hold stands."""

import datetime as dt
from pathlib import Path

import pytest
from django.db import DatabaseError, connection, transaction
from psycopg import errors

from fleet.models import HistoryContent, HistoryEntry, LegalHold, Unit
from fleet.services.verification import verify_history
from tests.factories.histories import Tamper
from tests.factories.notices import NOON, make_person

KEEP_UNTIL = dt.date(2020, 1, 31)
DAY_AFTER = dt.date(2020, 2, 1)


@pytest.fixture
def entry(units: list[Unit], tamper: Tamper) -> HistoryEntry:
    """An entry in the middle of a history whose content is kept until KEEP_UNTIL."""
    found = HistoryEntry.objects.get(unit=units[1], sequence=3)
    tamper("UPDATE fleet_historycontent SET keep_until = %s WHERE entry_id = %s", KEEP_UNTIL, found.pk)
    return found


def purge(entry: HistoryEntry, today: dt.date = DAY_AFTER) -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT purge_history_content(%s, %s)", [entry.pk, today])
        row = cursor.fetchone()
    assert row is not None
    return bool(row[0])


def place_hold(unit: Unit, lifted_at: dt.datetime | None = None) -> LegalHold:
    person = make_person("Vera Holt")
    return LegalHold.objects.create(
        unit=unit,
        reason="claim over a load",
        placed_at=NOON,
        placed_by=person,
        lifted_at=lifted_at,
        lifted_by=person if lifted_at else None,
    )


def test_past_its_date__content_gone_entry_whole_and_history_sound(entry: HistoryEntry, digests: Path) -> None:
    assert purge(entry) is True

    assert not HistoryContent.objects.filter(entry=entry).exists()
    kept = HistoryEntry.objects.get(pk=entry.pk)
    assert bytes(kept.entry_hash) == bytes(entry.entry_hash)
    assert bytes(kept.content_hash) == bytes(entry.content_hash)
    check = verify_history(digests=digests)
    assert list(check) == []
    assert check.purged == 1
    assert HistoryContent.objects.count() == 17


def test_on_its_last_day__kept(entry: HistoryEntry) -> None:
    assert purge(entry, KEEP_UNTIL) is False
    assert HistoryContent.objects.filter(entry=entry).exists()


def test_without_a_date__kept(entry: HistoryEntry, units: list[Unit]) -> None:
    undated = HistoryEntry.objects.get(unit=units[1], sequence=4)

    assert purge(undated) is False
    assert HistoryContent.objects.filter(entry=undated).exists()


def test_legal_hold_on_the_unit__kept(entry: HistoryEntry) -> None:
    place_hold(entry.unit)

    assert purge(entry) is False
    assert HistoryContent.objects.filter(entry=entry).exists()


def test_legal_hold_lifted__may_go(entry: HistoryEntry) -> None:
    place_hold(entry.unit, lifted_at=NOON)

    assert purge(entry) is True


def test_legal_hold_on_another_unit__may_go(entry: HistoryEntry, units: list[Unit]) -> None:
    place_hold(units[0])

    assert purge(entry) is True


def test_day_ahead_of_the_clock__refused(entry: HistoryEntry) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_date + 1")
        row = cursor.fetchone()
    assert row is not None

    with pytest.raises(DatabaseError) as raised:
        purge(entry, row[0])

    assert isinstance(raised.value.__cause__, errors.CheckViolation)
    assert HistoryContent.objects.filter(entry=entry).exists()


def test_purged_once__second_time_says_no(entry: HistoryEntry) -> None:
    purge(entry)

    assert purge(entry) is False


def test_permission_of_one_purge__does_not_outlast_it(entry: HistoryEntry) -> None:
    with transaction.atomic():
        purge(entry)

        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            HistoryContent.objects.filter(entry__unit=entry.unit).delete()
