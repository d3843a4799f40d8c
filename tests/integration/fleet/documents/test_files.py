"""Files: whole on the disk before their row, found by their content, swept when no row names them."""

import errno
import os
import tempfile
from pathlib import Path
from typing import Any

import pytest
import time_machine
from pytest_django import Settings

from common.canonical import sha256_hex
from common.errors import Invalid, NotFound, TooLarge, Unavailable
from fleet.enums import Role
from fleet.models import StoredFile
from fleet.rules.documents.file_types import DOCUMENTS
from fleet.services.documents.files import delete_orphans, read_file, store_file
from tests.factories.fleet import HOUR, NOON, make_carrier, make_document
from tests.support.acting import acting_as
from tests.support.refusals import refused
from tests.support.stored_files import path_of

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7 a scan"


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: Settings) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


def store(content: bytes = PDF, **changes: object) -> StoredFile:
    arguments = {"declared": None, "allowed": DOCUMENTS, "expected_sha256": None, **changes}
    return store_file(content=content, now=NOON, **arguments)  # type: ignore[arg-type]


def files(media: Path) -> list[Path]:
    return [path for path in media.rglob("*") if path.is_file()]


def test_file__lies_under_its_hash_with_its_type_and_size(media: Path) -> None:
    row = store()
    assert row.pk == sha256_hex(PDF)
    assert (row.size, row.media_type) == (len(PDF), "application/pdf")
    assert files(media) == [media / "files" / row.pk[:2] / row.pk]
    assert read_file(row.pk) == PDF


def test_same_content_again__is_the_same_row_and_is_not_written_again(media: Path) -> None:
    store()
    (path,) = files(media)
    before = path.stat().st_mtime_ns
    store()
    assert StoredFile.objects.count() == 1
    assert path.stat().st_mtime_ns == before


@pytest.mark.parametrize(
    ("content", "changes", "kind", "code"),
    [
        (b"", {}, Invalid, "file_empty"),
        (b"<html></html>", {}, Invalid, "file_type_refused"),
        (PDF, {"allowed": frozenset({"image/png"})}, Invalid, "file_type_refused"),
        (PDF, {"declared": "image/png"}, Invalid, "file_mislabelled"),
        (PDF, {"expected_sha256": "0" * 64}, Invalid, "file_hash_differs"),
        (PDF, {"max_bytes": len(PDF) - 1}, TooLarge, "file_too_large"),
    ],
)
def test_file_that_is_not_taken__leaves_nothing(
    media: Path, content: bytes, changes: dict[str, object], kind: type[Invalid], code: str
) -> None:
    with refused(kind, code):
        store(content, **changes)
    assert files(media) == []
    assert not StoredFile.objects.exists()


def test_file_at_its_largest__is_taken() -> None:
    assert store(max_bytes=len(PDF)).size == len(PDF)


def test_lost_file__is_said_to_be_missing(media: Path) -> None:
    row = store()
    path_of(row.pk).unlink()
    with refused(NotFound, "file_missing"):
        read_file(row.pk)


def test_file_and_folders__are_synced_before_the_row(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    real = os.fsync

    def noting(opened: int) -> None:
        told.append(str(Path(f"/proc/self/fd/{opened}").readlink()))
        assert not StoredFile.objects.exists()
        real(opened)

    monkeypatch.setattr(os, "fsync", noting)
    row = store()
    place = path_of(row.pk)
    assert told[-2].startswith(str(place.parent / ".part-"))
    assert told[-1] == str(place.parent)
    assert str(place.parent.parent) in told


def no_room(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "no space left on device")


def over_quota(*_: object) -> None:
    raise OSError(errno.EDQUOT, "quota exceeded")


def full(monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    """Let the disk be full at one step of keeping a file."""
    if step == "write":
        made: Any = tempfile.NamedTemporaryFile

        def without_room(**given: Any) -> Any:
            opened = made(**given)
            opened.write = no_room
            return opened

        monkeypatch.setattr(tempfile, "NamedTemporaryFile", without_room)
    else:
        owner, fails = {"open": (tempfile, no_room), "sync": (os, over_quota), "rename": (Path, no_room)}[step]
        monkeypatch.setattr(owner, {"open": "NamedTemporaryFile", "sync": "fsync", "rename": "rename"}[step], fails)


@pytest.mark.parametrize("step", ["open", "write", "sync", "rename"])
def test_disk_that_is_full__leaves_nothing_and_takes_the_file_later(media: Path, step: str) -> None:
    with pytest.MonkeyPatch.context() as patched:
        full(patched, step)
        with refused(Unavailable, "file_store_unavailable"):
            store()
    assert files(media) == []
    assert not StoredFile.objects.exists()
    assert read_file(store().pk) == PDF


def test_disk_that_is_full__is_told_over_http_as_a_matter_of_time(monkeypatch: pytest.MonkeyPatch, media: Path) -> None:
    make_carrier()
    document = make_document()
    full(monkeypatch, "write")
    with time_machine.travel(NOON, tick=False):
        answer = acting_as(Role.COMPLIANCE).put_file(
            f"documents/{document.pk}/file", PDF, "application/pdf", if_match='"1"'
        )
    assert (answer.status_code, answer.json()["code"]) == (503, "file_store_unavailable")
    assert answer.headers["Retry-After"] == "60"
    assert files(media) == []


def test_disk_that_cannot_be_read__is_told_as_not_available(monkeypatch: pytest.MonkeyPatch) -> None:
    row = store()
    monkeypatch.setattr(Path, "read_bytes", no_room)
    with refused(Unavailable, "file_store_unavailable"):
        read_file(row.pk)


def test_job__removes_old_files_without_a_row_alone(media: Path) -> None:
    kept = store()
    beside = path_of(kept.pk).parent
    old, half, young = beside / ("a" * 64), beside / ".part-x", beside / ("b" * 64)
    for path in (old, half, young):
        path.write_bytes(b"x")
    for path in (old, half, path_of(kept.pk)):
        os.utime(path, times=((NOON - 25 * HOUR).timestamp(),) * 2)
    os.utime(young, times=((NOON - 23 * HOUR).timestamp(),) * 2)
    assert delete_orphans(now=NOON) == 2
    assert sorted(files(media)) == sorted([path_of(kept.pk), young])
