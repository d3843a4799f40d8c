"""Digests newer than a restored dump are explained by the restore on record; anything else that differs is a fault."""

import datetime as dt
import io
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from psycopg import sql
from pytest_django import Settings
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from fleet.models import Restore
from fleet.rules.records.chain_check import Fault
from fleet.services.operation.backups.restore import restore
from fleet.services.records.digests import write_history_digest
from fleet.services.records.verification.verify import verify_history
from tests.factories.fleet import NOON, write_entries
from tests.integration.fleet.operation.backups.conftest import BackedUp
from tests.support.committing import committing
from tests.support.database import drop, maintaining, pointed_at

DAY = dt.timedelta(days=1)
REMOVE_CONTENT = """
    DELETE FROM fleet_historycontent WHERE entry_id IN
           (SELECT id FROM fleet_historyentry WHERE unit_id = %s AND sequence > %s)
"""
SHORTEN = """
    UPDATE fleet_unitchain AS chain SET sequence = entry.sequence, head = entry.entry_hash
      FROM fleet_historyentry AS entry
     WHERE entry.unit_id = chain.unit_id AND chain.unit_id = %s AND entry.sequence = %s
"""


@pytest.fixture(scope="module")
def restored_once(backed_up: BackedUp, database_server: Database) -> Iterator[str]:
    """The name of a database that lost two entries, of which a digest in the folder still knows."""
    write_entries(backed_up.of.units[0], 2)
    write_history_digest(directory=backed_up.of.digests, now=NOON + DAY)
    name = f"{backed_up.database}_restored"
    with maintaining(database_server) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        with pointed_at(name):
            restore(folder=backed_up.backup, digests=backed_up.of.digests, by="Ola", now=NOON + 2 * DAY)
        yield name
        drop(server, name)


@pytest.fixture
def restored(
    backed_up: BackedUp,
    restored_once: str,
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
    tmp_path: Path,
) -> Iterator[Path]:
    """A copy of both, which a test may change; the folder of the digests."""
    with committing(django_db_blocker, database_server, restored_once):
        yield Path(shutil.copytree(backed_up.of.digests, tmp_path / "digests"))


def as_owner(table: str, statement: str, *values: Any) -> None:
    """Run a statement with a table's triggers off."""
    with connection.cursor() as cursor:
        cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        cursor.execute(statement, values)
        cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER USER")


def remove_tail(unit: UUID, after: int) -> None:
    as_owner("fleet_historycontent", REMOVE_CONTENT, unit, after)
    as_owner("fleet_historyentry", "DELETE FROM fleet_historyentry WHERE unit_id = %s AND sequence > %s", unit, after)
    as_owner("fleet_unitchain", SHORTEN, unit, after)


def faults(digests: Path) -> list[Fault]:
    return [finding.fault for finding in verify_history(digests=digests)]


def test_entries_left_behind__are_no_fault_and_are_said(restored: Path) -> None:
    said = io.StringIO()

    call_command("verify_history", digests=restored, stdout=said)

    assert "restored 2026-03-08 18:00 UTC by Ola from a backup of 2026-03-06 18:00 UTC" in said.getvalue()
    assert "1 lines of digests tell of entries that a restore left behind: no fault" in said.getvalue()


def test_history_that_went_on__is_no_fault_either(backed_up: BackedUp, restored: Path) -> None:
    write_entries(backed_up.of.units[0], 4)
    write_history_digest(directory=restored, now=NOON + 3 * DAY)

    assert faults(restored) == []


def test_entry_of_before_the_backup_that_differs__stays_a_fault(backed_up: BackedUp, restored: Path) -> None:
    remove_tail(backed_up.of.units[0].pk, 2)
    write_entries(backed_up.of.units[0], 1)

    assert faults(restored) == [Fault.DIGEST_DIFFERS]


def test_entry_that_was_in_the_backup_and_is_not_there__stays_a_fault(backed_up: BackedUp, restored: Path) -> None:
    """However new the digest is that knows it."""
    unit = str(backed_up.of.units[0].pk)
    as_owner("fleet_restore", "UPDATE fleet_restore SET lengths = jsonb_set(lengths, ARRAY[%s], '5')", unit)

    assert faults(restored) == [Fault.DIGEST_AHEAD]


def test_entry_lost_after_the_restore__stays_a_fault(backed_up: BackedUp, restored: Path) -> None:
    write_entries(backed_up.of.units[0], 4)
    write_history_digest(directory=restored, now=NOON + 3 * DAY)
    remove_tail(backed_up.of.units[0].pk, 4)

    assert faults(restored) == [Fault.DIGEST_AHEAD]


@pytest.mark.parametrize(("to", "explained"), [("2026-03-07T00:00:00", 0), ("2026-03-07T20:00:00+01:00", 1)])
def test_database_recovered_to_an_instant__is_noted_by_the_digests_from_before_it(
    restored: Path, settings: Settings, to: str, explained: int
) -> None:
    """The digest of the 7th was written at 18:00 UTC: what it knows is explained where it was after the instant."""
    as_owner("fleet_restore", "DELETE FROM fleet_restore")
    settings.HISTORY_DIGEST_DIR = restored

    call_command("record_recovery", "--to", to, "--by", "Ola", stdout=io.StringIO())

    row = Restore.objects.get()
    assert row.restored_by == "Ola"
    assert row.backed_up_at == {"2026-03-07T00:00:00": dt.datetime(2026, 3, 7, tzinfo=dt.UTC)}.get(
        to, NOON + DAY + dt.timedelta(hours=1)
    )
    assert len(faults(restored)) == explained


def test_recovery_to_the_future__is_refused(restored: Path) -> None:
    with pytest.raises(CommandError, match="nothing noted: 2999-01-01 00:00:00 UTC is not over yet"):
        call_command("record_recovery", "--to", "2999-01-01", "--by", "Ola")

    assert Restore.objects.count() == 1


@pytest.mark.parametrize("to", ["noon", "0001-01-01T00:00:00+14:00"])
def test_recovery_to_no_instant__is_refused(restored: Path, to: str) -> None:
    with pytest.raises(CommandError, match="is no instant like 2026-11-30T12:00:00"):
        call_command("record_recovery", "--to", to, "--by", "Ola")


def test_recovery_by_nobody__is_refused(restored: Path) -> None:
    with pytest.raises(CommandError, match="nothing noted: who restores must be said"):
        call_command("record_recovery", "--to", "2026-03-07", "--by", "x" * 161)

    assert Restore.objects.count() == 1


def test_restore_not_on_record__explains_nothing(restored: Path) -> None:
    as_owner("fleet_restore", "DELETE FROM fleet_restore")

    with pytest.raises(CommandError, match="1 faults found"):
        call_command("verify_history", digests=restored)
