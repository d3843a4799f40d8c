"""Checks an unpacked unit file, or the ZIP itself: `python3 verify.py [FOLDER or ZIP]`. Needs Python 3.8, nothing else.

It stands inside the archive. It recomputes the size and SHA-256 of every file of the manifest, finds files that are
missing or too many, and recomputes the unit's history link by link. It leaves with 1 when anything differs.
"""

import hashlib
import json
import sys
import zipfile
from pathlib import Path
from typing import Any, Dict, Iterator, List  # noqa: UP035 - it must run where Python is older than ours

MANIFEST, SUMS, HISTORY = "manifest.json", "SHA256SUMS", "records/history.json"
LINK = ("unit", "sequence", "kind", "subject", "performed_at", "recorded_at", "actor")


class Folder:
    """The unpacked files."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def names(self) -> "set[str]":
        """Every file below the folder, by its path in the archive."""
        return {path.relative_to(self.root).as_posix() for path in self.root.rglob("*") if path.is_file()}

    def read(self, name: str) -> bytes:
        return (self.root / name).read_bytes()


class Packed:
    """The ZIP as it came."""

    def __init__(self, path: Path) -> None:
        self.zip = zipfile.ZipFile(path)

    def names(self) -> "set[str]":
        return {name for name in self.zip.namelist() if not name.endswith("/")}

    def read(self, name: str) -> bytes:
        """The bytes of one file; zipfile's own checksum is not what is relied on."""
        return self.zip.read(name)


def file_faults(files: Any, manifest: Dict[str, Any]) -> Iterator[str]:  # noqa: UP006
    """What is wrong with the files."""
    listed = {entry["path"]: entry for entry in manifest["files"]}
    here = files.names()
    for name in sorted({*listed, MANIFEST, SUMS} - here):
        yield f"{name}: missing"
    for name in sorted(here - {*listed, MANIFEST, SUMS}):
        yield f"{name}: not in the manifest"
    lines = []
    for name in [entry["path"] for entry in manifest["files"]]:
        lines.append(f"{listed[name]['sha256']}  {name}\n")
        if name in here:
            content = read(files, name)
            if content is None or hashlib.sha256(content).hexdigest() != listed[name]["sha256"]:
                yield f"{name}: changed, its SHA-256 is another one"
            elif len(content) != listed[name]["size"]:
                yield f"{name}: changed, its size is another one"
    lines.append(f"{hashlib.sha256(files.read(MANIFEST)).hexdigest()}  {MANIFEST}\n")
    if SUMS in here and read(files, SUMS) != "".join(lines).encode():
        yield f"{SUMS}: changed, or the manifest is"


def read(files: Any, name: str) -> Any:
    """The bytes of a file; None where the ZIP itself is damaged there."""
    try:
        return files.read(name)
    except (zipfile.BadZipFile, OSError):
        return None


def history_faults(entries: List[Dict[str, Any]], listed: Dict[str, Any]) -> Iterator[str]:  # noqa: UP006
    """What is wrong with the history: each link's content, its own hash, its place, and the end of the chain."""
    before, last = "00" * 32, 0
    for entry in entries:
        place = f"history entry {entry['sequence']}"
        if entry["sequence"] != last + 1 or entry["previous_hash"] != before:
            yield f"{place}: does not follow the one before it"
        if entry["body"] is not None:
            content = hashlib.sha256(bytes.fromhex(entry["salt"]) + entry["body"].encode()).hexdigest()
            if content != entry["content_hash"]:
                yield f"{place}: its content is not what was hashed"
        link = {name: entry[name] for name in LINK}
        link.update(content=entry["content_hash"], previous=entry["previous_hash"])
        spelt = json.dumps(link, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
        if hashlib.sha256(spelt).hexdigest() != entry["entry_hash"]:
            yield f"{place}: it is not what was hashed"
        before, last = entry["entry_hash"], entry["sequence"]
    if (last, before) != (listed["length"], listed["head"]):
        yield "history: its end is not the one of the manifest"


def main(arguments: List[str]) -> int:  # noqa: UP006
    """Print every fault, then what was looked at; 0 when all is as it was made."""
    place = Path(arguments[0]) if arguments else Path(__file__).resolve().parent
    files: Any = Folder(place) if place.is_dir() else Packed(place)
    try:
        whole = files.read(MANIFEST)
        manifest = json.loads(whole)
        faults = list(file_faults(files, manifest))
    except (KeyError, OSError, TypeError, ValueError, zipfile.BadZipFile) as why:
        sys.stdout.write(f"{MANIFEST}: cannot be read: {why}\n")
        return 1
    entries: List[Dict[str, Any]] = []  # noqa: UP006
    try:
        entries = json.loads(files.read(HISTORY))
        faults += history_faults(entries, manifest["history"])
    except (KeyError, OSError, TypeError, ValueError, zipfile.BadZipFile) as why:
        faults.append(f"{HISTORY}: cannot be recomputed: {why}")
    for fault in faults:
        sys.stdout.write(fault + "\n")
    looked_at = f"{len(manifest['files'])} files, {len(entries)} history entries looked at"
    sys.stdout.write(f"unit {manifest['unit']['number']}: {looked_at}\n")
    sys.stdout.write(f"manifest SHA-256 {hashlib.sha256(whole).hexdigest()}\n")
    sys.stdout.write(f"{len(faults)} faults found\n" if faults else "nothing was changed\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
