"""Everything that answers dispatch, read in one statement: one statement sees one snapshot of the database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Literal
from uuid import UUID

from django.db.models import Q

from common.compiled import Compiled, Values, compile_query
from defects.selectors.clearance import standing_rows, trip_rows, walk_rows
from defects.selectors.clearance.fact_row import FactRow, Rows, read_body
from fleet.models import Person

DriverBy = Literal["nothing", "key", "name"]


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
    def by(self) -> DriverBy:
        """How the driver is named."""
        return "nothing" if not self.driver else "name" if self.key is None else "key"

    @property
    def person(self) -> Q:
        """What finds the driver among people."""
        return Q(username__iexact=self.driver) & ~Q(username="") if self.key is None else Q(pk=self.key)

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

    @property
    def person(self) -> Q:
        """What finds the drivers among people."""
        return Q(pk__in=self.people)


def fact_rows(units: Iterable[UUID], *, as_of: datetime, asked: Asked | AskedTogether) -> list[FactRow]:
    """The facts of the units, the drivers, the loads and the carrier, as of an instant, in one statement."""
    wanted = list(units)
    if isinstance(asked, AskedTogether):
        return [FactRow(*row) for row in _query(wanted, as_of, asked)]
    given = {"units": wanted, "as_of": as_of, "driver": asked.key or asked.driver, "load": asked.load.upper()}
    rows = _compiled(asked.by, bool(asked.load)).fetch(given)
    return [FactRow(kind, unit, read_body(body)) for kind, unit, body in rows]


@cache
def _compiled(by: DriverBy, load: bool) -> Compiled:
    """The statement for one trip, by what the trip names; putting it into words takes longer than its answer."""
    stand_ins = []
    for number in (1, 2):
        key = UUID(int=number)
        values = {"units": [UUID(int=number + 2)], "as_of": datetime(9999, 1, number, tzinfo=UTC)}
        driver: dict[DriverBy, object] = {"nothing": "", "key": key, "name": f"driver {number}"}
        stand_ins.append(
            values | ({"driver": driver[by]} if by != "nothing" else {}) | ({"load": f"LOAD {number}"} if load else {})
        )
    first, second = stand_ins

    def build(values: Values) -> Rows:
        return _query(values["units"], values["as_of"], Asked(str(values.get("driver", "")), values.get("load", "")))

    return compile_query(build, first, second)


def _query(wanted: list[UUID], as_of: datetime, asked: Asked | AskedTogether) -> Rows:
    drivers = Person.objects.filter(asked.person).order_by()
    first, *others = (
        standing_rows.holds(wanted),
        standing_rows.limited_moves(wanted, as_of),
        standing_rows.work(wanted),
        standing_rows.defects(wanted),
        standing_rows.reports_to_review(wanted),
        standing_rows.certificates_to_review(wanted),
        standing_rows.refusals(wanted),
        walk_rows.newest_walks(wanted),
        walk_rows.recent_looks(wanted, as_of),
        walk_rows.axles(wanted),
        walk_rows.meters(wanted),
        walk_rows.fuel(wanted),
        trip_rows.details(wanted),
        trip_rows.documents(wanted, drivers),
        trip_rows.loads_at_risk(wanted),
        trip_rows.couplings(wanted, as_of),
        trip_rows.mountings(wanted, as_of),
        trip_rows.loads(wanted, asked.loads),
        trip_rows.driver(drivers),
        trip_rows.carrier(as_of),
    )
    return first.union(*others, all=True)
