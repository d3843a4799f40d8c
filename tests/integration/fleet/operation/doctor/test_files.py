"""What the doctor says of folders, room and digests."""

import datetime as dt
import os
import shutil
from pathlib import Path

import pytest
from pytest_django import Settings

from common.errors import Unavailable
from fleet.management.doctor import files
from fleet.management.doctor.files import examine_digests, examine_folders
from fleet.services.records.digests import write_history_digest
from tests.factories.fleet import NOON, make_bare_unit, make_carrier

DAY = dt.timedelta(days=1)
USUAL = shutil.disk_usage


@pytest.fixture
def sound(settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    """Two folders on a roomy disk, code of somebody else's, a user that is not root."""
    settings.LOCAL_DEMO = False
    settings.MEDIA_ROOT, settings.HISTORY_DIGEST_DIR = tmp_path / "media", tmp_path / "digests"
    settings.BASE_DIR = tmp_path / "code"
    for folder in (settings.MEDIA_ROOT, settings.HISTORY_DIGEST_DIR):
        folder.mkdir()
    monkeypatch.setattr(os, "geteuid", lambda: 10001)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: USUAL(path)._replace(total=100 << 30, free=50 << 30))
    return settings


def test_sound_folders__nothing_is_wrong(sound: Settings) -> None:
    assert list(examine_folders()) == []


@pytest.mark.parametrize("name", ["MEDIA_ROOT", "HISTORY_DIGEST_DIR"])
def test_folder_is_not_there__said(sound: Settings, name: str) -> None:
    getattr(sound, name).rmdir()
    (only,) = examine_folders()
    assert only.wrong == f"{name} cannot be written: No such file or directory"


def test_disk_nearly_full__said_for_each_folder_on_it(sound: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda path: USUAL(path)._replace(total=100 << 30, free=4 << 30))
    assert [finding.wrong.partition(" has ")[2] for finding in examine_folders()] == ["4.0 of 100.0 GiB left"] * 2


def test_code_is_writable__said(sound: Settings, tmp_path: Path) -> None:
    sound.BASE_DIR.mkdir()
    (only,) = examine_folders()
    assert "may write its own code" in only.wrong


def test_run_as_root__said(sound: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    (only,) = examine_folders()
    assert only.wrong == "the service runs as root"


def test_bucket_is_away__said(sound: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    class Away:
        def has(self, _sha256: str) -> bool:
            raise Unavailable("file_store_unavailable")

    sound.FILE_BUCKET = {"name": "photos"}
    monkeypatch.setattr(files, "the_store", Away)
    (only,) = examine_folders()
    assert "the bucket photos does not answer" in only.wrong


@pytest.fixture
def digests(db: None, sound: Settings) -> Path:
    """Digests of yesterday and today."""
    make_carrier()
    make_bare_unit()
    folder = Path(sound.HISTORY_DIGEST_DIR)
    for day in (NOON - DAY, NOON):
        write_history_digest(directory=folder, now=day)
    return folder


def test_digests_of_each_day__nothing_is_wrong(digests: Path) -> None:
    assert list(examine_digests(NOON)) == []
    assert list(examine_digests(NOON + DAY)) == []


def test_newest_digest_is_old__said(digests: Path) -> None:
    (only,) = examine_digests(NOON + 2 * DAY)
    assert only.wrong == "the newest digest of the histories is history-2026-03-06.jsonl"


def test_no_digest__said_once_there_is_a_carrier(digests: Path) -> None:
    for file in digests.iterdir():
        file.unlink()
    (only,) = examine_digests(NOON)
    assert "there is no digest" in only.wrong


def test_digest_before_the_newest_is_gone_or_another__said(digests: Path) -> None:
    before = digests / "history-2026-03-05.jsonl"
    before.chmod(0o600)
    before.write_bytes(before.read_bytes() + b"\n")
    assert "history-2026-03-05.jsonl" in next(examine_digests(NOON)).wrong
    before.unlink()
    assert "is missing or not what it was" in next(examine_digests(NOON)).wrong


def test_newest_digest_is_damaged__said(digests: Path) -> None:
    newest = digests / "history-2026-03-06.jsonl"
    newest.chmod(0o600)
    newest.write_bytes(newest.read_bytes()[:-20])
    (only,) = examine_digests(NOON)
    assert "history-2026-03-06.jsonl is damaged" in only.wrong
