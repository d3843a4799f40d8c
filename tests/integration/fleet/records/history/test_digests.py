import datetime as dt
import hashlib
import json
import os
from pathlib import Path

import pytest
from django.core.management import call_command

from fleet.models import Unit, UnitChain
from fleet.services.records.digests import write_history_digest
from tests.factories.fleet import NOON, write_entries
from tests.support.at_once import at_once


def lines(path: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def test_written__head_a_line_for_each_unit_in_key_order_and_an_end(units: list[Unit], tmp_path: Path) -> None:
    path = write_history_digest(directory=tmp_path, now=NOON)

    assert path == tmp_path / "history-2026-03-06.jsonl"
    head, *middle, end = lines(path)
    assert head == {"form": 1, "as_of": "2026-03-06T18:00:00+00:00", "previous": None}
    assert middle == [
        {"unit": str(chain.unit_id), "sequence": chain.sequence, "head": bytes(chain.head).hex()}
        for chain in UnitChain.objects.order_by("unit_id")
    ]
    before_end = b"".join(path.read_bytes().splitlines(keepends=True)[:-1])
    assert end == {"units": 4, "sha256": hashlib.sha256(before_end).hexdigest()}
    assert path.stat().st_mode & 0o777 == 0o444


def test_next_days__names_the_one_before_with_its_hash(units: list[Unit], digests: Path) -> None:
    path = write_history_digest(directory=digests, now=NOON + dt.timedelta(days=3))

    before = digests / "history-2026-03-06.jsonl"
    assert path is not None
    assert lines(path)[0]["previous"] == {
        "name": before.name,
        "sha256": hashlib.sha256(before.read_bytes()).hexdigest(),
    }


def test_there_already__left_as_it_was(units: list[Unit], digests: Path) -> None:
    before = (digests / "history-2026-03-06.jsonl").read_bytes()
    write_entries(units[0], 1)

    assert write_history_digest(directory=digests, now=NOON + dt.timedelta(hours=1)) is None

    assert (digests / "history-2026-03-06.jsonl").read_bytes() == before
    assert len(list(digests.iterdir())) == 1


def test_day_is_that_of_utc(units: list[Unit], tmp_path: Path) -> None:
    path = write_history_digest(directory=tmp_path, now=dt.datetime.fromisoformat("2026-03-06T23:30:00-06:00"))

    assert path == tmp_path / "history-2026-03-07.jsonl"


def test_written_by_six_at_once__one_whole_file_and_nothing_else(units: list[Unit], tmp_path: Path) -> None:
    paths = at_once(6, lambda: write_history_digest(directory=tmp_path, now=NOON))

    assert [path for path in paths if path] == [tmp_path / "history-2026-03-06.jsonl"]
    assert len(lines(tmp_path / "history-2026-03-06.jsonl")) == 6
    assert [path.name for path in tmp_path.iterdir()] == ["history-2026-03-06.jsonl"]


def test_breaks_off_while_writing__no_file_at_all(
    units: list[Unit], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(OSError, match="No space left"):
        write_history_digest(directory=tmp_path, now=NOON)

    assert list(tmp_path.iterdir()) == []


def test_folder_that_cannot_be_made__says_so(units: list[Unit], tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises(OSError, match=r"Not a directory|File exists"):
        write_history_digest(directory=tmp_path / "file" / "digests", now=NOON)


def test_command__writes_into_the_folder_of_the_settings_once(
    units: list[Unit], tmp_path: Path, settings: object, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.HISTORY_DIGEST_DIR = tmp_path  # type: ignore[attr-defined]  # pytest-django's

    call_command("write_history_digest")
    call_command("write_history_digest")

    (path,) = tmp_path.iterdir()
    assert capsys.readouterr().out.splitlines() == [f"today's digest is in {path}", "today's digest was there already"]
