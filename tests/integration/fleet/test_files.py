"""Files: whole on the disk before their row, found by their content, swept when no row names them."""

import os
from pathlib import Path

import pytest
from pytest_django import Settings

from common.canonical import sha256_hex
from common.errors import Invalid, NotFound, TooLarge
from fleet.models import StoredFile
from fleet.rules.file_types import PAPERS
from fleet.services.files import path_of, read_file, store_file, sweep_orphans
from tests.factories.fleet import HOUR, NOON
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7 a scan"


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: Settings) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


def store(content: bytes = PDF, **changes: object) -> StoredFile:
    arguments = {"declared": None, "allowed": PAPERS, "expected_sha256": None, **changes}
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


def test_write_that_is_cut_short__never_stands_under_the_final_name(
    monkeypatch: pytest.MonkeyPatch, media: Path
) -> None:
    def fail(_opened: int) -> None:
        raise OSError(28, "no space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OSError, match="no space left"):
        store()
    assert not path_of(sha256_hex(PDF)).exists()
    assert not StoredFile.objects.exists()


def test_sweep__removes_old_files_without_a_row_alone(media: Path) -> None:
    kept = store()
    folder = path_of(kept.pk).parent
    old, half, young = folder / ("a" * 64), folder / ".part-x", folder / ("b" * 64)
    for path in (old, half, young):
        path.write_bytes(b"x")
    for path in (old, half, path_of(kept.pk)):
        os.utime(path, times=((NOON - 25 * HOUR).timestamp(),) * 2)
    os.utime(young, times=((NOON - 23 * HOUR).timestamp(),) * 2)
    assert sweep_orphans(now=NOON) == 2
    assert sorted(files(media)) == sorted([path_of(kept.pk), young])
