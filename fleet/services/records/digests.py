"""The daily digest of all histories, kept as a file outside the database. Comparing with it lives in `verification`.

A digest is JSON lines: a head naming the day, the instant and the digest before with its SHA-256; a line for each
unit, in key order, with the length and the last hash of its history; an end with the count and the SHA-256 of all
lines before it. Written once and never over: what was true on that day must outlast a later change of the database.
"""

import hashlib
import json
import os
import tempfile
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

from django.db import transaction

from common.canonical import canonical_json
from fleet.models import UnitChain

FORM = 1
PATTERN = "history-*.jsonl"
BATCH = 2_000
READ_ONLY = 0o444


def digest_path(directory: Path, day: date) -> Path:
    """The file of a day's digest."""
    return directory / f"history-{day.isoformat()}.jsonl"


def digest_day(path: Path) -> date:
    return date.fromisoformat(path.stem.removeprefix("history-"))


def digest_written_at(path: Path) -> datetime:
    """When a sound digest was written."""
    with path.open("rb") as file:
        return datetime.fromisoformat(json.loads(file.readline())["as_of"])


def digest_paths(directory: Path) -> list[Path]:
    """The digests that are there, oldest first."""
    return sorted(directory.glob(PATTERN))


def write_history_digest(*, directory: Path, now: datetime) -> Path | None:
    """Write the digest of the present day (UTC) unless there is one; its path, None when there was one.

    The file appears whole or not at all, and on disk: another process that writes the same day's loses. OSError
    where the folder cannot be written.
    """
    path = digest_path(directory, now.astimezone(UTC).date())
    if path.exists():
        return None
    directory.mkdir(parents=True, exist_ok=True)
    descriptor, name = tempfile.mkstemp(prefix=".digest-", dir=directory)
    draft = Path(name)
    try:
        os.fchmod(descriptor, READ_ONLY)
        with os.fdopen(descriptor, "wb") as file:
            for line in _lines(directory, path, now):
                file.write(line)
            file.flush()
            os.fsync(file.fileno())
        return path if _publish(draft, path) else None
    finally:
        draft.unlink()


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file, as hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _lines(directory: Path, path: Path, now: datetime) -> Iterator[bytes]:
    whole, units = hashlib.sha256(), 0
    before = [earlier for earlier in digest_paths(directory) if earlier.name < path.name]
    previous = {"name": before[-1].name, "sha256": sha256_of(before[-1])} if before else None
    head = _line({"form": FORM, "as_of": now.astimezone(UTC), "previous": previous})
    whole.update(head)
    yield head
    for line in unit_lines():
        units += 1
        whole.update(line)
        yield line
    yield _line({"units": units, "sha256": whole.hexdigest()})


def unit_lines() -> Iterator[bytes]:
    """Yield the line of each unit, in one statement, so that all are of one instant."""
    rows = UnitChain.objects.order_by("unit_id").values_list("unit_id", "sequence", "head")
    with transaction.atomic():
        for unit, sequence, head in rows.iterator(BATCH):
            yield _line({"unit": unit, "sequence": sequence, "head": bytes(head).hex()})


def _line(value: object) -> bytes:
    return canonical_json(value) + b"\n"


def _publish(draft: Path, path: Path) -> bool:
    """Give the written file its name, unless another took it; then make the name itself durable."""
    try:
        os.link(draft, path)
    except FileExistsError:
        return False
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
    return True
