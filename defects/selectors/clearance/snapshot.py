"""Everything that answers dispatch, read in one statement: one statement sees one snapshot of the database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from uuid import UUID

from common.compiled import INSTANT, KEYS, TEXTS, Compiled, KeyIn, Parameter
from defects.selectors.clearance import hold_rows, trip_rows, walk_rows, weight_rows
from defects.selectors.clearance.fact_row import FactRow, read_body
from fleet.models import Person


@dataclass(frozen=True, slots=True)
class TripRequest:
    """Which driver (key) and load (number, empty for none) a trip names."""

    driver: UUID | None = None
    load: str = ""

    @property
    def people(self) -> frozenset[UUID]:
        """The driver, if one is named."""
        return frozenset() if self.driver is None else frozenset({self.driver})

    @property
    def loads(self) -> frozenset[str]:
        """The load's number, if one is named."""
        return frozenset({self.load.upper()} if self.load else ())


@dataclass(frozen=True, slots=True)
class TripsRequest:
    """The drivers and loads of many trips, for one reading of them all."""

    people: frozenset[UUID]
    loads: frozenset[str]


def fact_rows(units: Iterable[UUID], *, as_of: datetime, requested: TripRequest | TripsRequest) -> list[FactRow]:
    """The facts of the units, the drivers, the loads and the carrier, as of an instant, in one statement."""
    given = {"people": list(requested.people), "loads": list(requested.loads)}
    rows = fact_statement().rows(units=list(units), as_of=as_of, **given)
    return [FactRow(kind, unit, read_body(body)) for kind, unit, body in rows]


@cache
def fact_statement() -> Compiled:
    """The statement, for `units`, `as_of`, and the `people` and `loads` that trips name."""
    wanted, as_of = Parameter("units", KEYS), Parameter("as_of", INSTANT)
    drivers = Person.objects.filter(KeyIn("pk", Parameter("people", KEYS))).order_by()
    loads = Parameter("loads", TEXTS)
    first, *others = (
        hold_rows.holds(wanted),
        hold_rows.limited_moves(wanted),
        hold_rows.work(wanted),
        hold_rows.defects(wanted),
        hold_rows.reports_to_review(wanted),
        hold_rows.certificates_to_review(wanted),
        hold_rows.refusals(wanted),
        walk_rows.newest_walks(wanted),
        walk_rows.recent_looks(wanted, as_of),
        walk_rows.full_walks(wanted, as_of),
        walk_rows.axles(wanted),
        walk_rows.meters(wanted),
        *walk_rows.cooling(wanted),
        trip_rows.details(wanted),
        *trip_rows.documents(wanted, drivers),
        trip_rows.loads_at_risk(wanted),
        trip_rows.couplings(wanted, as_of),
        trip_rows.mountings(wanted, as_of),
        trip_rows.left(wanted),
        trip_rows.loads(wanted, loads),
        weight_rows.tickets(wanted),
        trip_rows.driver(drivers),
        trip_rows.carrier(as_of),
    )
    return Compiled(first.union(*others, all=True))
