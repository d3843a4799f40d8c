"""Comparing the digests kept outside with what the database says today."""

from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path

from django.db import connection

from fleet.models import Restore
from fleet.rules.records.chain_check import Discrepancy, Fault, Head
from fleet.services.records.digests import digest_day, digest_paths, digest_written_at, sha256_of
from fleet.services.records.verification.digest_files import DigestDamagedError, changed_heads, previous_of

BATCH = 1_000

LOOK_UP = """
    SELECT entry.entry_hash
      FROM unnest(%s::uuid[], %s::bigint[]) WITH ORDINALITY AS known(unit, sequence, place)
      LEFT JOIN fleet_historyentry AS entry ON entry.unit_id = known.unit AND entry.sequence = known.sequence
     ORDER BY known.place
"""


class Restores:
    """The restores on record, and how many lines of digests they explain: of entries that a restore left behind."""

    def __init__(self) -> None:
        self.on_record = list(Restore.objects.order_by("restored_at", "pk"))
        self.explained = 0

    def explain(self, path: Path, head: Head) -> bool:
        """Whether a restore explains what a digest knows of a unit: from after the backup and before the restore."""
        explained = any(
            (restore.known_until is None or restore.known_until < digest_day(path))
            and digest_written_at(path) <= restore.restored_at
            and head.sequence > restore.lengths.get(str(head.unit), 0)
            for restore in self.on_record
        )
        self.explained += explained
        return explained


def check_digests(directory: Path, restores: Restores) -> Iterator[Discrepancy]:
    """What is wrong with the digests of a folder, and where neither the database nor a restore bears one out.

    Each line is looked up once: what a digest says like the one before it was seen there.
    """
    sound: list[Path] = []
    before: Path | None = None
    for path in digest_paths(directory):
        discrepancies = list(_file_faults(path, before))
        yield from discrepancies
        if not any(discrepancy.fault is Fault.DIGEST_DAMAGED for discrepancy in discrepancies):
            sound.append(path)
        before = path
    for place, path in enumerate(sound):
        heads = changed_heads(sound[place - 1] if place else None, path)
        while batch := list(islice(heads, BATCH)):
            yield from _differences(path, batch, restores)


def _file_faults(path: Path, before: Path | None) -> Iterator[Discrepancy]:
    try:
        previous = previous_of(path)
    except DigestDamagedError as why:
        yield Discrepancy(Fault.DIGEST_DAMAGED, digest=path.name, detail=str(why))
        return
    expected = None if before is None else {"name": before.name, "sha256": sha256_of(before)}
    if previous != expected:
        named = "none" if previous is None else previous["name"]
        yield Discrepancy(Fault.DIGEST_MISSING, digest=path.name, detail=f"it was written after {named}")


def _differences(path: Path, heads: Sequence[Head], restores: Restores) -> Iterator[Discrepancy]:
    with connection.cursor() as cursor:
        cursor.execute(LOOK_UP, [[head.unit for head in heads], [head.sequence for head in heads]])
        stored = [None if value is None else bytes(value) for (value,) in cursor.fetchall()]
    for head, now in zip(heads, stored, strict=True):
        if head.sequence and now != head.head and not restores.explain(path, head):
            fault = Fault.DIGEST_AHEAD if now is None else Fault.DIGEST_DIFFERS
            yield Discrepancy(fault, unit=head.unit, sequence=head.sequence, digest=path.name)
