"""Everything that answers dispatch, read in one statement: one statement sees one snapshot of the database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from defects.selectors.clearance import standing_rows, trip_rows, walk_rows
from defects.selectors.clearance.fact_row import FactRow
from fleet.models import Person


@dataclass(frozen=True, slots=True)
class Asked:
    """Which driver (name at sign-in, or key) and load (number) a trip names; empty for none."""

    driver: str = ""
    load: str = ""

    @property
    def person(self) -> Q:
        """What finds the driver among people."""
        try:
            return Q(pk=UUID(self.driver))
        except ValueError:
            return Q(username__iexact=self.driver) & ~Q(username="")

    @property
    def loads(self) -> frozenset[str]:
        """The load's number, if one is named."""
        return frozenset({self.load.upper()} if self.load else ())

    def is_about(self, person: UUID) -> bool:
        """Whether a driver who was found is this trip's: by the key where one is given, for a name finds only one."""
        try:
            return UUID(self.driver) == person
        except ValueError:
            return bool(self.driver)


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
    drivers = Person.objects.filter(asked.person).order_by()
    first, *others = (
        standing_rows.holds(wanted),
        standing_rows.defects(wanted),
        standing_rows.reports_to_review(wanted),
        standing_rows.certificates_to_review(wanted),
        standing_rows.refusals(wanted),
        walk_rows.newest_walks(wanted, as_of),
        walk_rows.recent_checks(wanted, as_of),
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
    return [FactRow(kind, unit, body) for kind, unit, body in first.union(*others, all=True)]
