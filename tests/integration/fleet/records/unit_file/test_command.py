"""`manage.py export_file`: writes the archive where it is told to, and refuses what the service refuses."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fleet.models import HistoryEntry
from tests.support.unit_files import unpack
from tests.support.yard import Yard


def test_command__writes_the_file_that_the_script_inside_bears_out(yard: Yard, tmp_path: Path) -> None:
    out = tmp_path / "LR-46.zip"
    call_command("export_file", "lr-46", "--out", str(out), "--from", "2026-03-01")
    code, said = unpack(out).verify()
    assert (code, said[-1]) == (0, "nothing was changed")
    assert HistoryEntry.objects.get(kind="file_made").actor is None


def test_unit_that_there_is_not_or_days_turned_round__command_error(yard: Yard, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="no unit LR-99"):
        call_command("export_file", "LR-99")
    with pytest.raises(CommandError, match="The last day is before the first"):
        call_command("export_file", "LR-46", "--from", "2026-03-06", "--to", "2026-03-05", "--out", str(tmp_path / "x"))
    assert not (tmp_path / "x").exists()
