"""Finding what was done to a unit's stored history, link by link. Reading the links lives in services."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from fleet.rules.records.chain import GENESIS, Link, content_hash, entry_hash


class Fault(StrEnum):
    """What can be wrong with a history; each value is the sentence that follows the place."""

    CONTENT_CHANGED = "the content is not what was hashed"
    CONTENT_MISSING = "the content is gone and no deletion of it is on record"
    DELETION_FALSE = "the record of its deletion does not fit the entry"
    ENTRY_CHANGED = "the entry is not what was hashed"
    ORDER_BROKEN = "the entry does not follow the one before it"
    ENTRY_MISSING = "entries are missing before this one"
    TAIL_REMOVED = "entries are missing at the end"
    CHAIN_ALTERED = "the chain row does not fit the last entry"
    CHAIN_MISSING = "there are entries and no chain row"
    RECORD_DIFFERS = "a record is not what the history tells"
    RECORD_MISSING = "a record that the history tells of is not there"
    RECORD_NOT_IN_HISTORY = "the history does not tell of a record"
    DIGEST_AHEAD = "the digest knows an entry that is not there"
    DIGEST_DIFFERS = "the digest knows another entry in this place"
    DIGEST_DAMAGED = "the digest file is damaged"
    DIGEST_MISSING = "a digest file is missing or was replaced"


@dataclass(frozen=True)
class Discrepancy:
    """One fault, where it is: a unit and a place in its history, or the name of a digest, and the numbers seen."""

    fault: Fault
    unit: UUID | None = None
    sequence: int | None = None
    digest: str = ""
    detail: str = ""

    def __str__(self) -> str:
        place = [self.digest] if self.digest else []
        if self.unit is not None:
            place.append(f"unit {self.unit}")
        if self.sequence is not None:
            place.append(f"entry {self.sequence}")
        return f"{' '.join(place)}: {self.fault}" + (f" ({self.detail})" if self.detail else "")


@dataclass(frozen=True)
class StoredLink:
    """A link as it stands in the database, with the hash stored for it.

    Without content it has been purged, and `deleted_hash` is the content's hash in the record of its deletion.
    """

    link: Link
    entry_hash: bytes
    salt: bytes | None
    body: str | None
    deleted_hash: bytes | None = None

    @property
    def unit(self) -> UUID:
        """Whose history it is in."""
        return self.link.unit


@dataclass(frozen=True)
class Head:
    """What a chain row or a digest says of a unit: how many entries there are, and the hash of the last."""

    unit: UUID
    sequence: int
    head: bytes


class ChainCheck:
    """Takes the links of one unit in the order of their sequence and remembers only the last one."""

    def __init__(self, unit: UUID) -> None:
        self.unit = unit
        self.head: Head | None = None
        self.entries = 0
        self.purged = 0
        self._sequence = 0
        self._hash = GENESIS

    def take(self, stored: StoredLink) -> Iterator[Discrepancy]:
        link = stored.link
        self.entries += 1
        if link.sequence != self._sequence + 1:
            yield self._fault(Fault.ENTRY_MISSING, link.sequence, f"the one before is {self._sequence}")
        elif link.previous_hash != self._hash:
            yield self._fault(Fault.ORDER_BROKEN, link.sequence)
        if entry_hash(link) != stored.entry_hash:
            yield self._fault(Fault.ENTRY_CHANGED, link.sequence)
        yield from self._content_faults(stored)
        self._sequence, self._hash = link.sequence, stored.entry_hash

    def _content_faults(self, stored: StoredLink) -> Iterator[Discrepancy]:
        link = stored.link
        gone = stored.salt is None or stored.body is None
        if stored.deleted_hash is not None and (not gone or stored.deleted_hash != link.content_hash):
            yield self._fault(Fault.DELETION_FALSE, link.sequence)
        if stored.salt is None or stored.body is None:
            self.purged += 1
            if stored.deleted_hash is None:
                yield self._fault(Fault.CONTENT_MISSING, link.sequence)
        elif content_hash(stored.salt, stored.body) != link.content_hash:
            yield self._fault(Fault.CONTENT_CHANGED, link.sequence)

    def end(self) -> Iterator[Discrepancy]:
        """What is wrong with the end of the history, once all links have been taken and `head` is what the row says."""
        if self.head is None:
            if self._sequence:
                yield self._fault(Fault.CHAIN_MISSING, None)
        elif self.head.sequence > self._sequence:
            missing = f"the chain row counts {self.head.sequence}, the last is {self._sequence}"
            yield self._fault(Fault.TAIL_REMOVED, None, missing)
        elif self.head.sequence < self._sequence or self.head.head != self._hash:
            seen = f"it counts {self.head.sequence}, the last entry is {self._sequence}"
            yield self._fault(Fault.CHAIN_ALTERED, None, seen)

    def _fault(self, fault: Fault, sequence: int | None, detail: str = "") -> Discrepancy:
        return Discrepancy(fault, unit=self.unit, sequence=sequence, detail=detail)
