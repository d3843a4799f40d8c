"""What a backup says of itself, and the list of hashes that shows whether all of it is there.

`backup.json` is the manifest, `database.dump` PostgreSQL's custom format, `files.jsonl` a line for each file on record,
`files/` their bytes, `digests/` the digests of histories, `SHA256SUMS` the hash of everything else in the folder, as
`sha256sum --check` reads it.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from fleet.services.operation.backups.refusal import BackupRefusedError
from fleet.services.records.digests import sha256_of

FORM = 1
MANIFEST, DUMP, LISTED, SUMS = "backup.json", "database.dump", "files.jsonl", "SHA256SUMS"
FILES, DIGESTS = "files", "digests"
COPIED, IN_BUCKET, REMOVED, MISSING, DAMAGED = "copied", "in_bucket", "removed", "missing", "damaged"
"""Where the bytes of a file on record are: in this backup, in the bucket, deleted after their days, or lost before."""


@dataclass(frozen=True)
class Manifest:
    """A backup in figures. `files` counts files by where their bytes are; `heads` is where all histories end."""

    form: int
    taken_at: datetime
    postgresql: int
    migrations: list[str]
    roles: list[str]
    rows: dict[str, int]
    files: dict[str, int]
    bytes: int
    digests: list[str]
    heads: str


@dataclass(frozen=True)
class ListedFile:
    """A file on record, and where its bytes are."""

    sha256: str
    size: int
    kept: str


def file_place(sha256: str) -> str:
    """Where a file's bytes lie in a backup."""
    return f"{FILES}/{sha256[:2]}/{sha256}"


def write_manifest(folder: Path, manifest: Manifest) -> None:
    """Write the manifest, for people as well."""
    said = {**asdict(manifest), "taken_at": manifest.taken_at.isoformat()}
    (folder / MANIFEST).write_text(json.dumps(said, indent=1) + "\n", encoding="utf-8")


def seal(folder: Path) -> None:
    """List the hash of everything in the folder, files by the hash that their name is; done last."""
    with (folder / SUMS).open("w", encoding="utf-8") as sums:
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            if path.is_file() and name != SUMS:
                sums.write(f"{path.name if name.startswith(FILES + '/') else sha256_of(path)}  {name}\n")


def read_backup(folder: Path) -> Manifest:
    """The manifest of a whole backup. BackupRefusedError for anything missing, changed or too much in the folder."""
    try:
        sums = dict(_sums(folder))
    except (OSError, ValueError) as why:
        raise BackupRefusedError(f"{folder} is no whole backup: {SUMS} cannot be read") from why
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()} - {SUMS}
    _refuse_difference(folder, listed=set(sums), there=there)
    for name, expected in sums.items():
        if sha256_of(folder / name) != expected:
            raise BackupRefusedError(f"{folder} is damaged: {name} is not what was written")
    try:
        manifest = _manifest(json.loads((folder / MANIFEST).read_text(encoding="utf-8")))
        wanted = {MANIFEST, DUMP, LISTED, *(f"{DIGESTS}/{name}" for name in manifest.digests)}
        wanted |= {file_place(file.sha256) for file in listed_files(folder) if file.kept == COPIED}
    except (OSError, ValueError, TypeError, KeyError) as why:
        raise BackupRefusedError(f"{folder} is no backup of this service: {why}") from why
    _refuse_difference(folder, listed=wanted, there=there)
    return manifest


def listed_files(folder: Path) -> Iterator[ListedFile]:
    with (folder / LISTED).open(encoding="utf-8") as lines:
        for line in lines:
            yield ListedFile(**json.loads(line))


def _refuse_difference(folder: Path, *, listed: set[str], there: set[str]) -> None:
    odd = sorted(listed ^ there)
    if odd:
        wrong = "missing" if odd[0] in listed else "not listed"
        more = f", and {len(odd) - 1} more" if odd[1:] else ""
        raise BackupRefusedError(f"{folder} is damaged: {odd[0]} is {wrong}{more}")


def _sums(folder: Path) -> Iterator[tuple[str, str]]:
    for line in (folder / SUMS).read_text(encoding="utf-8").splitlines():
        sha256, name = line.split("  ", maxsplit=1)
        yield name, sha256


def _manifest(said: Mapping[str, Any]) -> Manifest:
    if said["form"] != FORM:
        raise ValueError(f"its form is {said['form']}, this release reads {FORM}")
    return Manifest(**{**said, "taken_at": datetime.fromisoformat(said["taken_at"])})
