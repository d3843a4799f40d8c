"""Reading the digests that are kept outside the database. Comparing them with the database is in `digest_check`."""

import hashlib
import json
from collections.abc import Iterator
from heapq import merge
from itertools import groupby
from pathlib import Path
from typing import Any, BinaryIO
from uuid import UUID

from fleet.rules.records.chain_check import Head
from fleet.services.records.digests import FORM


class DigestDamagedError(Exception):
    """A digest file is not what its own end says, or no digest at all."""


def previous_of(path: Path) -> dict[str, str] | None:
    """The name and SHA-256 of the digest that this one follows; DigestDamagedError unless the whole file is sound."""
    for _ in heads_of(path):
        pass
    with path.open("rb") as file:
        previous: dict[str, str] | None = _read(file.readline())["previous"]
    return previous


def heads_of(path: Path) -> Iterator[Head]:
    """The lines of a digest, in key order; DigestDamagedError, at its end at the latest, when it is not sound."""
    with path.open("rb") as file:
        try:
            yield from _heads(file)
        except (KeyError, TypeError, ValueError) as why:
            raise DigestDamagedError(f"{type(why).__name__}: {why}") from why


def changed_heads(before: Path | None, path: Path) -> Iterator[Head]:
    """The lines of a digest that the one before does not have, in key order; memory does not grow with the files."""
    known = heads_of(before) if before is not None else iter(())
    # Of one unit, the line before comes first and the line of this digest last.
    for _, lines in groupby(merge(_tagged(known, 0), _tagged(heads_of(path), 1), key=_unit), key=_unit):
        *earlier, (tag, head) = lines
        if tag == 1 and (0, head) not in earlier:
            yield head


def _tagged(heads: Iterator[Head], tag: int) -> Iterator[tuple[int, Head]]:
    return ((tag, head) for head in heads)


def _unit(tagged: tuple[int, Head]) -> UUID:
    return tagged[1].unit


def _heads(file: BinaryIO) -> Iterator[Head]:
    head = file.readline()
    if _read(head)["form"] != FORM:
        raise ValueError("another form of digest")
    whole = hashlib.sha256(head)
    for units, line in enumerate(file):
        value = _read(line)
        if "unit" not in value:
            _refuse_other_end(value, {"units": units, "sha256": whole.hexdigest()}, rest=file.read(1))
            return
        yield Head(UUID(value["unit"]), int(value["sequence"]), bytes.fromhex(value["head"]))
        whole.update(line)
    raise ValueError("it breaks off")


def _read(line: bytes) -> dict[str, Any]:
    value = json.loads(line)
    if not isinstance(value, dict):
        raise TypeError("a line is no object")
    return value


def _refuse_other_end(end: dict[str, Any], expected: dict[str, object], *, rest: bytes) -> None:
    if end != expected or rest:
        raise ValueError("its lines are not those that its end counts")
