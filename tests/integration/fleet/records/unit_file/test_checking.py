"""The script in a unit's file finds any change, needs nothing installed, and is silent where nothing was changed."""

import json
import shutil
from pathlib import Path

import pytest
from django.test import override_settings
from pytest_django.plugin import DjangoDbBlocker

from tests.integration.fleet.records.unit_file.conftest import Inspected
from tests.support.prepared import rolled_back
from tests.support.unit_files import Unpacked, made_file


@pytest.fixture(scope="module")
def made(
    inspected: Inspected, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Unpacked:
    yard, place = inspected.yard, tmp_path_factory.mktemp("made")
    with rolled_back(inspected.database, django_db_blocker), override_settings(MEDIA_ROOT=inspected.media):
        return made_file(yard.trailer, yard["vera"], yard.now, place)


@pytest.fixture
def file(made: Unpacked, tmp_path: Path) -> Unpacked:
    return made.copied(tmp_path)


def altered(path: Path, *, at: int = -3) -> None:
    content = bytearray(path.read_bytes())
    content[at] ^= 1
    path.write_bytes(bytes(content))


def test_nothing_changed__leaves_with_0_unpacked_and_as_zip(file: Unpacked) -> None:
    code, said = file.verify()
    assert (code, said[-1]) == (0, "nothing was changed")
    assert file.verify(str(file.packed)) == (code, said)
    assert said[0] == "unit LR-46: {} files, {} history entries looked at".format(
        len(file.manifest["files"]), file.manifest["history"]["length"]
    )


def test_one_byte_of_any_file__is_told_by_name_and_leaves_with_1(file: Unpacked) -> None:
    for path in sorted(path for path in file.folder.rglob("*") if path.is_file() and path.name != "verify.py"):
        whole = path.read_bytes()
        altered(path)
        code, said = file.verify()
        assert code == 1
        name = path.relative_to(file.folder).as_posix()
        assert any(line.startswith((f"{name}: ", "SHA256SUMS: ")) for line in said[:-1]), (name, said)
        if name not in {"manifest.json", "SHA256SUMS"}:
            assert f"{name}: changed, its SHA-256 is another one" in said
        path.write_bytes(whole)
    assert file.verify()[0] == 0


def test_file_missing_or_too_many__is_told(file: Unpacked) -> None:
    (file.folder / "records" / "holds.json").rename(file.folder / "records" / "no-holds.json")
    code, said = file.verify()
    assert code == 1
    assert said[:2] == ["records/holds.json: missing", "records/no-holds.json: not in the manifest"]


def test_zip_with_one_byte_changed__is_told(file: Unpacked) -> None:
    altered(file.packed, at=file.packed.read_bytes().index(b"%PDF-1.7 the report") + 12)
    code, said = file.verify(str(file.packed))
    assert code == 1
    assert [line for line in said if line.startswith("scans/")] == [
        f"scans/{file.records('periodic_inspections')[0]['scan']}.pdf: changed, its SHA-256 is another one"
    ]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda entries: entries.pop(2), "history entry 4: does not follow the one before it"),
        (lambda entries: entries.pop(), "history: its end is not the one of the manifest"),
        (lambda entries: entries[1].update(body='{"a":1}'), "history entry 2: its content is not what was hashed"),
        (
            lambda entries: entries[1].update(performed_at=entries[0]["performed_at"]),
            "history entry 2: it is not what was hashed",
        ),
    ],
)
def test_history_changed_and_hashes_made_to_fit__the_chain_tells(
    file: Unpacked, change: object, told: str, tmp_path: Path
) -> None:
    forged = Unpacked(file.packed, Path(shutil.copytree(file.folder, tmp_path / "forged")))
    entries = forged.records("history")
    change(entries)  # type: ignore[operator]
    (forged.folder / "records" / "history.json").write_text(json.dumps(entries))

    code, said = forged.verify()
    assert code == 1
    assert told in said


def test_content_that_was_purged__does_not_break_the_proof(file: Unpacked) -> None:
    entries = file.records("history")
    entries[1].update(salt=None, body=None)
    (file.folder / "records" / "history.json").write_text(json.dumps(entries))

    said = file.verify()[1]
    assert [line for line in said if "history entry" in line or line.startswith("history:")] == []


def test_manifest_gone__is_said_and_leaves_with_1(file: Unpacked) -> None:
    (file.folder / "manifest.json").unlink()
    code, said = file.verify()
    assert code == 1
    assert said[0].startswith("manifest.json: cannot be read:")
