"""Everything known about one asking, frozen as of one instant: units, load, trip, driver, carrier. Judges nothing."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from decimal import Decimal

from defects.enums import RiskCause, TemperatureClass
from defects.rules.clearance.answer import Facts
from defects.rules.clearance.unit_facts import DocumentFact, UnitFacts
from defects.rules.weights import AxleGroup, Tandem, WeightUnknown
from fleet.rules.documents.periods import Reading


@dataclass(frozen=True, slots=True)
class LoadFact:
    """What is to be carried, and the States crossed with it (two letters). `pre_loaded`: it is in the trailer already.

    `food`: it is food, which pests, residue and odor keep out of a box whether it needs a temperature or not.
    `pre_load_checked`: the box was checked before that. `seal_checked`: the seal was compared since the take-over.
    `seal_read`: another seal was read on the doors, and dispatch has not decided. `weighs`: its weight is recorded,
    so that a scale ticket is missed. `permits` are those by which it may be overweight.
    """

    temperature_class: TemperatureClass
    setpoint_f: Decimal | None = None
    food: bool = True
    pre_loaded: bool = False
    pre_load_checked: bool = False
    sealed: bool = False
    seal_checked: bool = False
    seal_read: str = ""
    us_states: frozenset[str] = frozenset()
    weighs: bool = False
    permits: tuple["PermitFact", ...] = ()


@dataclass(frozen=True, slots=True)
class PermitFact:
    """A State's permit to weigh more, its first and last day, and the pounds it allows; None: not raised by it."""

    number: str
    us_state: str
    starts_on: date
    ends_on: date
    axle_lb: int | None = None
    tandem_lb: int | None = None
    group_lb: int | None = None
    gross_lb: int | None = None


@dataclass(frozen=True, slots=True)
class WeighedFact:
    """A scale ticket of the load: its groups of axles, from the front, and the trailer's tandem if it slides.

    The newest without a flag. `unusable` says why the newest is not compared, or only in part. `newer` is one by
    another tractor, with the groups of the trailer's axles.
    """

    at: datetime
    groups: tuple[AxleGroup, ...] = ()
    tandem: Tandem | None = None
    unusable: WeightUnknown | None = None
    newer: "WeighedFact | None" = None


@dataclass(frozen=True, slots=True)
class OtherLoadFact:
    """A load in one of the trailers that is not the one asked for. `in_the_way`: that one needs its place."""

    number: str
    unit: str
    in_the_way: bool = False


@dataclass(frozen=True, slots=True)
class LoadAtRiskFact:
    """A load at risk on one of the units. `decided_at` is the newest decision recorded about it.

    `disposed`: its food's disposition is signed, which is a decision too. `cause` is its newest, a word of `RiskCause`,
    with the facts of its sentence; one that became known at `cause_at` asks for a decision from after that.
    """

    number: str
    unit: str
    since: datetime
    decided_at: datetime | None = None
    disposed: bool = False
    cause: str = RiskCause.DEFECT
    facts: Facts = ()
    cause_at: datetime | None = None

    @property
    def is_undecided(self) -> bool:
        """Whether it waits for a decision that knows of its newest cause."""
        if self.disposed or self.decided_at is None:
            return not self.disposed
        return self.cause_at is not None and self.decided_at < self.cause_at


@dataclass(frozen=True, slots=True)
class TripFact:
    """When it is to leave and arrive. `miles` is the distance where it is known.

    `us_states` are crossed with whatever load, or empty (two letters).
    """

    departure: datetime
    arrival: datetime
    miles: Decimal | None = None
    us_states: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class DriverFact:
    """Who is to drive, the documents of that person that are asked for, and whether the person is a driver today."""

    ref: str
    documents: tuple[DocumentFact, ...] = ()
    drives: bool = True


@dataclass(frozen=True, slots=True)
class ClearancePolicy:
    """The carrier's decisions in force; every default is our own.

    `small_carrier`: nobody second lifts a hold. `half_brake_counts`: see `defects.rules.clearance.brakes`.
    """

    document_margin: timedelta = timedelta(days=1)
    walk_valid_for: timedelta = timedelta(hours=24)
    reading: Reading = Reading.BY_DAY
    fuel_reserve_gal: int = 5
    small_carrier: bool = False
    half_brake_counts: bool = False


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Everything known about one clearance request, as of one instant.

    Without a `trip` the question is the yard's: leaving at `as_of`, going nowhere yet. Without a `load` it is not
    known what will be carried. `joined`: the units are recorded as running together; `left_behind` are units recorded
    as coupled to them that are not asked for; `cooling_elsewhere` are cooling units asked for that sit on none of the
    trailers asked for, and cool nothing here. `zone` is the carrier's.
    """

    as_of: datetime
    zone: tzinfo
    units: tuple[UnitFacts, ...]
    trip: TripFact | None = None
    load: LoadFact | None = None
    weighed: WeighedFact | None = None
    driver: DriverFact | None = None
    carrier_documents: tuple[DocumentFact, ...] = ()
    loads_at_risk: tuple[LoadAtRiskFact, ...] = ()
    other_loads: tuple[OtherLoadFact, ...] = ()
    joined: bool = True
    left_behind: tuple[str, ...] = ()
    cooling_elsewhere: tuple[str, ...] = ()
    policy: ClearancePolicy = field(default_factory=ClearancePolicy)

    @property
    def risks_here(self) -> tuple[LoadAtRiskFact, ...]:
        """The loads at risk on the units asked for."""
        if not self.loads_at_risk:
            return ()
        refs = {unit.ref for unit in self.units}
        return tuple(risk for risk in self.loads_at_risk if risk.unit in refs)
