"""Reading every section of a unit's file, in one snapshot, into JSON files that are read back line by line."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from common.canonical import canonical_json
from common.snapshots import one_snapshot
from fleet.models import Carrier, StoredFile, UnitChain
from fleet.selectors.carrier.carrier import the_carrier
from fleet.selectors.records.unit_file.sections import FileScope, Section, sections


@dataclass(frozen=True)
class Gathered:
    """What was read: the folder of `<section>.json`, how many records each has, and the kept files they name.

    `named` is SHA-256 to the folder it goes into; `kept` has the rows of those that ever came in.
    """

    folder: Path
    carrier: Carrier
    length: int
    head: bytes
    counts: dict[str, int] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    kept: dict[str, StoredFile] = field(default_factory=dict)

    def path(self, section: Section) -> Path:
        return self.folder / f"{section.name}.json"

    def records(self, section: Section) -> Iterator[Mapping[str, Any]]:
        with self.path(section).open(encoding="utf-8") as lines:
            for line in lines:
                if line.startswith("{"):
                    yield json.loads(line.rstrip(",\n"))


def gather(scope: FileScope, folder: Path) -> Gathered:
    """Read all sections as of one instant; memory does not grow with the records. NotFound `carrier_missing`."""
    with one_snapshot():
        chain = UnitChain.objects.get(unit=scope.unit)
        gathered = Gathered(folder, the_carrier(), chain.sequence, bytes(chain.head))
        for section in sections():
            gathered.counts[section.name] = _write(section, scope, gathered)
        gathered.kept.update(StoredFile.objects.select_related("removal").in_bulk(sorted(gathered.named)))
    return gathered


def _write(section: Section, scope: FileScope, gathered: Gathered) -> int:
    """One record on each line of a JSON array, in its canonical form."""
    count = 0
    with gathered.path(section).open("wb") as file:
        file.write(b"[")
        for record in section.read(scope):
            file.write(b",\n" if count else b"\n")
            file.write(canonical_json(record))
            gathered.named.update(dict.fromkeys(section.files(record), section.folder))
            count += 1
        file.write(b"\n]\n")
    return count
