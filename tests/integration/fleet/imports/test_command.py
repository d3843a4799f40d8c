"""`manage.py import_rows`: the same table, the same rules, from the machine itself."""

import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fleet.enums import Role
from fleet.models import HistoryEntry, Unit
from tests.factories.fleet import make_carrier, make_person

pytestmark = pytest.mark.django_db


def run(file: Path, by: str, mode: str) -> str:
    out = io.StringIO()
    call_command("import_rows", "units", str(file), "--by", by, "--mode", mode, stdout=out)
    return out.getvalue()


def test_file__is_taken_in_by_the_person_named_or_refused_row_by_row(tmp_path: Path) -> None:
    make_carrier()
    vera = make_person("Vera Holt", Role.COMPLIANCE, username="vera")
    make_person("Ada Brisk", Role.DRIVER, username="ada")
    file = tmp_path / "units.csv"
    file.write_bytes(b"kind,number\r\ntractor,NL-1\r\n")
    assert run(file, "vera", "dry_run").startswith("1 created, 0 flagged, 0 changed, 0 unchanged, 0 refused")
    assert not Unit.objects.exists()
    for by, words in (("ada", "ada holds none of the roles administrator, compliance"), ("nobody", "nobody signs in")):
        with pytest.raises(CommandError, match=words):
            run(file, by, "partial")
    run(file, "vera", "all_or_nothing")
    assert HistoryEntry.objects.get(unit=Unit.objects.get(number="NL-1")).actor == vera
    file.write_bytes(b"kind,number\r\nboat,NL-2\r\n")
    with pytest.raises(CommandError, match="/rows/2/kind: Use one of"):
        run(file, "vera", "all_or_nothing")
    file.write_bytes(b"kind,colour\r\n")
    with pytest.raises(CommandError, match="There is no column colour"):
        run(file, "vera", "partial")


def test_dash__reads_the_standard_input_that_another_user_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_carrier()
    make_person("Vera Holt", Role.COMPLIANCE, username="vera")
    given = io.TextIOWrapper(io.BytesIO(b"kind,number\r\ntractor,NL-1\r\n"))
    monkeypatch.setattr("sys.stdin", given)
    assert run(Path("-"), "vera", "all_or_nothing").startswith("1 created")
    assert Unit.objects.get().number == "NL-1"
