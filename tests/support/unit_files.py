"""A unit's file in a test: made, unpacked, and checked by the script that stands inside it, in a process of its own."""

import json
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from pypdf import PdfReader

from fleet.models import Person, Unit
from fleet.services.records.unit_file.make import UnitFileRequest, make_unit_file, save_as


@dataclass(frozen=True)
class Unpacked:
    """An archive and the folder it was unpacked into."""

    packed: Path
    folder: Path

    def records(self, section: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = json.loads((self.folder / "records" / f"{section}.json").read_bytes())
        return found

    @property
    def manifest(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads((self.folder / "manifest.json").read_bytes())
        return found

    @cached_property
    def shown(self) -> str:
        """All that the PDF shows, lines that were wrapped joined again."""
        return " ".join(" ".join(page.extract_text() for page in PdfReader(self.folder / "file.pdf").pages).split())

    def copied(self, place: Path) -> "Unpacked":
        """Another of the same below a folder, which a test may change."""
        packed, folder = place / self.packed.name, place / self.folder.name
        return Unpacked(Path(shutil.copy(self.packed, packed)), Path(shutil.copytree(self.folder, folder)))

    def verify(self, *arguments: str) -> tuple[int, list[str]]:
        """What the script inside leaves with and says, without anything of ours in its way."""
        return verify(self.folder / "verify.py", arguments)


def verify(script: Path, arguments: Sequence[str] = ()) -> tuple[int, list[str]]:
    done = subprocess.run(
        [sys.executable, "-I", "-B", str(script), *arguments], capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return done.returncode, done.stdout.splitlines()


def unpack(packed: Path) -> Unpacked:
    """The archive unpacked beside itself; AssertionError where its PDF says that a record cannot be shown."""
    folder = packed.with_suffix("")
    with ZipFile(packed) as archive:
        archive.extractall(folder)
    unpacked = Unpacked(packed, folder)
    for unshown in ("cannot be shown here", "no se puede mostrar aquí"):
        assert unshown not in unpacked.shown
    return unpacked


def made_file(
    unit: Unit, actor: Person | None, now: datetime, place: Path, *, name: str = "file", **asked: Any
) -> Unpacked:
    """The file of a unit as of an instant, unpacked below a folder."""
    made = make_unit_file(unit_id=unit.pk, requested=UnitFileRequest(**asked), actor=actor, now=now)
    save_as(made, place / f"{name}.zip")
    return unpack(place / f"{name}.zip")
