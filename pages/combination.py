"""A combination as the pages show it: the API's answer to it, sorted by what becomes of it. Judges nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from pages.session import Caller

Row = dict[str, Any]


@dataclass(frozen=True)
class CombinationShown:
    """The answer that units have together, as the record has them coupled now."""

    units: Sequence[str]
    answer: Row
    others: Sequence[str]
    """Units that the record has with those asked for."""

    kinds: Mapping[str, str]
    """Of the units asked for."""

    @property
    def walk(self) -> str:
        """The query of the walk round it."""
        asked = [(self.kinds.get(unit), unit) for unit in self.units]
        return urlencode([(kind, unit) for kind, unit in asked if kind in {"tractor", "trailer"}])

    @property
    def bars(self) -> list[Row]:
        """What keeps it from rolling."""
        return [reason for reason in self.answer["reasons"] if reason["kind"] == "bars"]

    @property
    def steps(self) -> list[Row]:
        """What the driver can do."""
        return [reason for reason in self.answer["reasons"] if reason["kind"] != "bars"]


def ref_of(unit: Row) -> str:
    """A unit as people and addresses name it."""
    return f"{unit['number']}@{unit['owner']}" if unit["owner"] else str(unit["number"])


def with_cooling_units(caller: Caller, units: Sequence[str]) -> list[str]:
    """The units, and behind them the cooling units mounted on those that are trailers."""
    mounted = [caller.read("mountings", {"trailer": unit, "open": "true"})["results"] for unit in units]
    return [*units, *(ref_of(row["cooling_unit"]) for rows in mounted for row in rows)]


def combinations_of(caller: Caller, units: Sequence[str]) -> list[CombinationShown]:
    """What is known against units now: once for each combination that the record has them in."""
    found: dict[tuple[str, ...], CombinationShown] = {}
    rows = caller.read("yard", {"unit": units})["results"]
    kinds = {row["unit"]: row["kind"] for row in rows}
    for row in rows:
        together = sorted([row["unit"], *row["together_with"]], key=lambda unit: (_place(unit, units), unit))
        others = [unit for unit in together if unit not in units]
        found[tuple(together)] = CombinationShown(together, row, others, kinds)
    return list(found.values())


def _place(unit: str, units: Sequence[str]) -> int:
    return units.index(unit) if unit in units else len(units)
