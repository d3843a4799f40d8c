"""What must stand on record by a unit's history, entry by entry, compared with what does. Reading rows lives elsewhere.

A history is folded into facts about each record that it tells of. What an entry does not say, or no longer says since
its content was purged, is not known, and is not compared.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID

from fleet.rules.records.chain_check import Discrepancy, Fault

Facts = dict[str, object]
"""What is known of a record, in JSON's own types. A frozenset stands for one of its members."""
GONE = "not there"


@dataclass
class Expected:
    """The records of one kind that a history tells of, and how many more it may tell of without naming them."""

    facts: dict[UUID, Facts] = field(default_factory=dict)
    unnamed: int = 0

    def of(self, key: UUID) -> Facts:
        """The facts of a record, which is there from now on."""
        return self.facts.setdefault(key, {})


@dataclass(frozen=True)
class Said:
    """An entry as it is folded: without a body its content was purged."""

    kind: str
    subject: UUID
    body: Mapping[str, Any] | None


@dataclass(frozen=True)
class Recount:
    """A kind of record, the kinds of entries that tell of it, and how each changes what is known.

    Where it is not `complete`, a row of which nothing is told is no fault.
    """

    name: str
    kinds: frozenset[str]
    fold: Callable[[Expected, Said], None]
    complete: bool = True


@dataclass(frozen=True)
class OnRecord:
    """A row as it stands: whose it is, of which recount, and what it says."""

    unit: UUID
    recount: str
    key: UUID
    facts: Facts


class RecordCheck:
    """Takes the entries of one unit in their order, and its rows, and then says where the two differ."""

    def __init__(self, unit: UUID, recounts: Sequence[Recount]) -> None:
        self.unit = unit
        self._recounts = recounts
        self._expected = {recount.name: Expected() for recount in recounts}
        self._rows: dict[str, dict[UUID, Facts]] = {recount.name: {} for recount in recounts}

    def take(self, said: Said) -> None:
        """Fold the next entry."""
        for recount in self._recounts:
            if said.kind in recount.kinds:
                recount.fold(self._expected[recount.name], said)

    def note(self, row: OnRecord) -> None:
        self._rows[row.recount][row.key] = row.facts

    def end(self) -> Iterator[Discrepancy]:
        """Every record that is not what the history tells."""
        for recount in self._recounts:
            yield from self._compare(recount, self._expected[recount.name], self._rows[recount.name])

    def _compare(self, recount: Recount, expected: Expected, rows: Mapping[UUID, Facts]) -> Iterator[Discrepancy]:
        name = recount.name
        for key, facts in expected.facts.items():
            if key not in rows:
                yield Discrepancy(Fault.RECORD_MISSING, unit=self.unit, detail=_called(name, key, facts))
                continue
            for fact, value in facts.items():
                found = rows[key].get(fact, GONE)
                if not _agree(value, found):
                    said = f"{_called(name, key, facts)}: {fact} is {_shown(found)}, the history says {_shown(value)}"
                    yield Discrepancy(Fault.RECORD_DIFFERS, unit=self.unit, detail=said)
        unnamed = rows.keys() - expected.facts.keys()
        if recount.complete and len(unnamed) > expected.unnamed:
            for key in sorted(unnamed):
                yield Discrepancy(Fault.RECORD_NOT_IN_HISTORY, unit=self.unit, detail=_called(name, key, rows[key]))


def _called(name: str, key: UUID, facts: Facts) -> str:
    number = facts.get("number")
    return f"{name} {number} ({key})" if number else f"{name} {key}"


def _agree(expected: object, found: object) -> bool:
    if isinstance(expected, frozenset):
        return found in expected
    if expected == found:
        return True
    if isinstance(expected, str | int) and isinstance(found, str | int):
        try:
            return Decimal(expected) == Decimal(found)
        except InvalidOperation:
            return False
    return False


def _shown(value: object) -> str:
    if isinstance(value, frozenset):
        return " or ".join(sorted(map(str, value)))
    return "empty" if value in {None, ""} else str(value)
