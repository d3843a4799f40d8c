"""Everything that answers dispatch, read in one statement: one statement sees one snapshot of the database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from uuid import UUID

from django.db.models import Q, TextField

from common.compiled import INSTANT, KEYS, TEXTS, Compiled, Given, KeyIn
from defects.selectors.clearance import hold_rows, trip_rows, walk_rows
from defects.selectors.clearance.fact_row import FactRow, read_body
from fleet.models import Person


@dataclass(frozen=True, slots=True)
class Asked:
    """Which driver (name at sign-in, or key) and load (number) a trip names; empty for none."""

    driver: str = ""
    load: str = ""

    @property
    def key(self) -> UUID | None:
        """The driver's key, where one is given."""
        try:
            return UUID(self.driver)
        except ValueError:
            return None

    @property
    def name(self) -> str:
        """The driver's name at sign-in, where that is given."""
        return self.driver if self.key is None else ""

    @property
    def people(self) -> frozenset[UUID]:
        """The driver, where the key is given."""
        return frozenset() if self.key is None else frozenset({self.key})

    @property
    def loads(self) -> frozenset[str]:
        """The load's number, if one is named."""
        return frozenset({self.load.upper()} if self.load else ())

    def is_about(self, person: UUID) -> bool:
        """Whether a driver who was found is this trip's: by the key where one is given, for a name finds only one."""
        return bool(self.driver) if self.key is None else self.key == person


@dataclass(frozen=True, slots=True)
class AskedTogether:
    """The drivers and loads of many trips, for one reading of them all."""

    people: frozenset[UUID]
    loads: frozenset[str]
    name: str = ""


def fact_rows(units: Iterable[UUID], *, as_of: datetime, asked: Asked | AskedTogether) -> list[FactRow]:
    """The facts of the units, the drivers, the loads and the carrier, as of an instant, in one statement."""
    given = {"people": list(asked.people), "name": asked.name.lower() or None, "loads": list(asked.loads)}
    rows = fact_statement().fetch(units=list(units), as_of=as_of, **given)
    return [FactRow(kind, unit, read_body(body)) for kind, unit, body in rows]


@cache
def fact_statement() -> Compiled:
    """The statement, for `units`, `as_of`, and the `people`, `name` and `loads` that trips name."""
    wanted, as_of = Given("units", KEYS), Given("as_of", INSTANT)
    by_key = KeyIn("pk", Given("people", KEYS))
    drivers = Person.objects.filter(Q(by_key) | Q(username=Given("name", TextField()))).order_by()
    loads = Given("loads", TEXTS)
    first, *others = (
        hold_rows.holds(wanted),
        hold_rows.limited_moves(wanted, as_of),
        hold_rows.work(wanted),
        hold_rows.defects(wanted),
        hold_rows.reports_to_review(wanted),
        hold_rows.certificates_to_review(wanted),
        hold_rows.refusals(wanted),
        walk_rows.newest_walks(wanted),
        walk_rows.recent_looks(wanted, as_of),
        walk_rows.axles(wanted),
        walk_rows.meters(wanted),
        walk_rows.fuel(wanted),
        trip_rows.details(wanted),
        *trip_rows.documents(wanted, drivers),
        trip_rows.loads_at_risk(wanted),
        trip_rows.couplings(wanted, as_of),
        trip_rows.mountings(wanted, as_of),
        trip_rows.loads(wanted, loads),
        trip_rows.driver(drivers),
        trip_rows.carrier(as_of),
    )
    return Compiled(first.union(*others, all=True))
