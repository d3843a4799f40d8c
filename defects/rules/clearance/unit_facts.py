"""What is known of one unit when dispatch asks, as frozen facts. Load, trip and policy are in `snapshot`.

Instants carry an offset. None always means not known.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from defects.enums import Authority, Bars, HoldKind, Severity
from defects.rules.catalogue.closed_sets import PartGroup
from defects.rules.clearance.answer import Facts
from defects.rules.defects.judgement import Judgement
from fleet.enums import UnitKind
from fleet.rules.cooling.fuel import Burn, Lost
from fleet.rules.cooling.pull_down import Approach
from fleet.rules.documents.states import Span


@dataclass(frozen=True, slots=True)
class HoldFact:
    """An active hold. `expected_at` is when the shop expects its last defect to be done.

    `said` names the `defect` it rests on, as in `defect_facts`; `reason` is the text of whoever placed one that rests
    on none.
    """

    number: int
    by: HoldKind
    since: datetime
    bars: Bars = Bars.MOVEMENT
    expected_at: datetime | None = None
    reason: str = ""
    said: tuple[tuple[str, str], ...] = ()
    defect: int | None = None


@dataclass(frozen=True, slots=True)
class WorkFact:
    """Work under way on a unit; `undone` once it is signed paused as fit to move with that undone.

    `cold_freight_too`: whoever signed said that it may carry cold freight with that undone.
    """

    order: int
    what: str
    since: datetime
    undone: str = ""
    expected_at: datetime | None = None
    cold_freight_too: bool = False


@dataclass(frozen=True, slots=True)
class LimitedMoveFact:
    """Permission for one trip of a barred unit to the nearest place of repair, as 396.7(b) allows it.

    `from_mi` is the odometer's true total where it begins.
    """

    to_place: str
    distance_mi: Decimal
    ends_at: datetime
    driver: str
    conditions: str = ""
    from_mi: Decimal | None = None


@dataclass(frozen=True, slots=True)
class RepairedFact:
    """The certificate in force says: repaired. `photo_awaited`: the driver's photo of it has not arrived."""

    at: datetime
    photo_awaited: bool = False


@dataclass(frozen=True, slots=True)
class DeferralFact:
    """The certificate in force says: repair unnecessary, until the first of its limits.

    The last day is included; a meter's limit is over when it is reached.
    """

    at: datetime
    limit_on: date | None = None
    limit_mi: Decimal | None = None
    limit_engine_h: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectFact(Judgement):
    """A defect that is not closed, with all that it is judged to be. One `graded` False was told in free text.

    `over_in`: how far a brake stroke is past its limit, in inches, where that is what is wrong. `must_be_repaired`: its
    repair may not be certified unnecessary. `said`: the further facts that name it, as `defect_facts` hands them on.
    `ends_by_driver`: a driver puts it right and answers it again.
    """

    number: int
    point: str
    place: str
    severity: Severity
    bars: Bars
    authority: Authority
    since: datetime
    certificate: RepairedFact | DeferralFact | None = None
    over_in: Decimal | None = None
    expected_at: datetime | None = None
    must_be_repaired: bool = False
    said: tuple[tuple[str, str], ...] = ()
    ends_by_driver: bool = False

    @property
    def photo_awaited(self) -> bool:
        """Whether its repair rests on a photo that has not arrived."""
        return isinstance(self.certificate, RepairedFact) and self.certificate.photo_awaited


@dataclass(frozen=True, slots=True)
class DocumentFact:
    """One document that should be there, with the periods of all that are held; none held: `spans` is empty.

    `needed_in` names the State (two letters) without which it is not asked for. `bars`: run out, it bars;
    `missing_bars`: so does its absence, which else is only said.
    """

    kind: str
    spans: tuple[Span, ...]
    source: str
    bars: bool = True
    needed_in: str = ""
    missing_bars: bool = True


@dataclass(frozen=True, slots=True)
class ReportFact:
    """A defect report that no driver has reviewed since."""

    number: str
    at: datetime


@dataclass(frozen=True, slots=True)
class CertificateFact:
    """The certificate in force of a statutory defect that a driver reported; no driver has reviewed it since."""

    number: str
    at: datetime


@dataclass(frozen=True, slots=True)
class RefusalFact:
    """A driver's refusal. `looked_at`: a second qualified person has looked since."""

    number: str
    at: datetime
    looked_at: bool = False


@dataclass(frozen=True, slots=True)
class WalkFact:
    """The last pre-trip or pick-up walk-around of the unit: when, by which driver, agreed by which other."""

    at: datetime
    by: str
    team_mate: str = ""


@dataclass(frozen=True, slots=True)
class LeftFact:
    """A place that a walk-around left without an answer. `why`: a word of `NotReached`, 'flagged' or `no_answer`.

    `asked`: a pre-trip or pick-up walk asks it every time. `area` is its part group, `behind_seal` whether a seal keeps
    the driver from it.
    """

    point: str
    place: str
    area: PartGroup
    statutory: bool
    behind_seal: bool
    why: str
    required: bool


@dataclass(frozen=True, slots=True)
class LookFact:
    """One recent walk-around: what it left without an answer, and which such places of others it answers."""

    at: datetime
    by: str
    team_mate: str = ""
    left: tuple[LeftFact, ...] = ()
    answers: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True, slots=True)
class MeterFact:
    """The newest true totals of a unit's meters."""

    odometer_mi: Decimal | None = None
    engine_h: Decimal | None = None


@dataclass(frozen=True, slots=True)
class FuelFact:
    """A cooling unit's tank: gallons in it at `at`, its size, what cannot be used, gallons an hour, running since.

    `burn_gal_per_h` is what was recorded; `learned` from readings, the newest at `learned_until`, counts before it.
    """

    at: datetime
    level_gal: Decimal | None
    burn_gal_per_h: Decimal | None
    tank_gal: Decimal | None = None
    unusable_gal: Decimal = Decimal(0)
    running: bool = False
    learned: Burn | None = None
    learned_until: datetime | None = None

    @property
    def is_burn_known(self) -> bool:
        return self.learned is not None or self.burn_gal_per_h is not None

    def burned(self, hours: Fraction) -> Fraction:
        """The gallons that so many hours take at most."""
        if self.learned is not None:
            return Fraction(self.learned.most(float(hours)))
        return Fraction(self.burn_gal_per_h or 0) * hours

    def lasts(self, gallons: Fraction) -> Fraction | None:
        """The hours that so many gallons last at least; None where nothing is burned."""
        if self.learned is not None:
            return Fraction(self.learned.lasts(float(gallons)))
        return gallons / Fraction(self.burn_gal_per_h) if self.burn_gal_per_h else None


@dataclass(frozen=True, slots=True)
class AirFact:
    """The air in the box at its newest reading, in °F, and how it comes down, by readings up to `learned_until`."""

    at: datetime
    air_f: Decimal
    pull_down: Approach | None = None
    learned_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class ThirdPartyFact:
    inspected_on: date | None
    plate: str
    owner: str


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """One unit and everything that stands for or against it. `others` is None for a unit of our own.

    `kind` is None, and the unit unreadable, where a newer release put a kind on record that is not known here.

    `coupling_walked_by`: who looked at its coupling to the others on a walk before a trip, "" among them where that
    serves while nobody is named; None where there are no others.

    `full_walk_due`: for a week nobody answered all of the full form, which asks what is due weekly.
    `fuel_lost`: what was gone of its fuel last beyond its hours.
    `left`: where and how a driver left it, by the facts of `fleet.selectors.units.whereabouts`.
    `service_brakes` counts its service brakes, None if those of an axle are not recorded. `unreadable` when a record
    of it could not be read: then nothing else is known.
    """

    ref: str
    kind: UnitKind | None
    others: ThirdPartyFact | None = None
    holds: tuple[HoldFact, ...] = ()
    limited_moves: tuple[LimitedMoveFact, ...] = ()
    work: tuple[WorkFact, ...] = ()
    defects: tuple[DefectFact, ...] = ()
    documents: tuple[DocumentFact, ...] = ()
    reports_to_review: tuple[ReportFact, ...] = ()
    certificates_to_review: tuple[CertificateFact, ...] = ()
    refusals: tuple[RefusalFact, ...] = ()
    walk: WalkFact | None = None
    looks: tuple[LookFact, ...] = ()
    coupling_walked_by: frozenset[str] | None = None
    service_brakes: int | None = None
    axles_recorded: bool = True
    full_walk_due: bool = False
    meters: MeterFact = field(default_factory=MeterFact)
    fuel: FuelFact | None = None
    fuel_lost: Lost | None = None
    left: Facts = ()
    air: AirFact | None = None
    unreadable: bool = False
