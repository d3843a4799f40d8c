"""Histories to look at and the means to do to them what the service never does."""

from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from fleet.models import Unit
from fleet.services.records.digests import write_history_digest
from tests.factories.fleet import NOON, Tamper, make_bare_unit, write_entries
from tests.support.committing import CommittingDatabase

KEPT = ("fleet_historyentry", "fleet_historycontent")


@pytest.fixture
def units(committing_db: CommittingDatabase) -> list[Unit]:
    """Three units with six entries each, and one with none."""
    made = [make_bare_unit("LR-41"), make_bare_unit("LR-42"), make_bare_unit("LR-43"), make_bare_unit("LR-44")]
    for unit in made[:3]:
        write_entries(unit, 6)
    return made


@pytest.fixture
def tamper(committing_db: CommittingDatabase) -> Tamper:
    """Run one statement as the owner of the tables, who can switch the triggers of history off; how many rows."""

    def run(statement: str, *values: Any) -> int:
        with connection.cursor() as cursor:
            for table in KEPT:
                cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
            cursor.execute(statement, values)
            changed = int(cursor.rowcount)
            for table in KEPT:
                cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER USER")
        return changed

    return run


@pytest.fixture
def digests(units: list[Unit], tmp_path: Path) -> Path:
    """A folder with the digest of NOON's day."""
    folder = tmp_path / "digests"
    assert write_history_digest(directory=folder, now=NOON) is not None
    return folder
