"""Any snapshot that could be gathered, for the properties of the answer. Days and instants lie close together."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import TypeVar
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from defects.enums import Authority, Bars, HoldKind, Listing, NotReached, RiskCause, Severity, TemperatureClass
from defects.rules.catalogue.closed_sets import PartGroup
from defects.rules.clearance.snapshot import (
    ClearancePolicy,
    DriverFact,
    LoadAtRiskFact,
    LoadFact,
    OtherLoadFact,
    Snapshot,
    TripFact,
)
from defects.rules.clearance.unit_facts import (
    AirFact,
    DefectFact,
    DeferralFact,
    DocumentFact,
    FuelFact,
    HoldFact,
    LeftFact,
    LimitedMoveFact,
    LookFact,
    MeterFact,
    RefusalFact,
    RepairedFact,
    ReportFact,
    ThirdPartyFact,
    UnitFacts,
    WalkFact,
    WorkFact,
)
from fleet.enums import UnitKind
from fleet.rules.cooling.fuel import Burn
from fleet.rules.cooling.pull_down import Approach
from fleet.rules.documents.periods import PeriodEnd, Reading
from fleet.rules.documents.states import Span

T = TypeVar("T")
START = datetime(2026, 3, 5, tzinfo=UTC)
ZONES = st.sampled_from([ZoneInfo(name) for name in ("America/Chicago", "America/New_York", "America/Phoenix")])
HOURS = st.integers(0, 24 * 8).map(lambda hours: timedelta(hours=hours))
INSTANTS = HOURS.map(lambda hours: START + hours)
PAST = INSTANTS.map(lambda instant: instant - timedelta(days=4))
DAYS = st.integers(0, 14).map(lambda days: date(2026, 3, 3) + timedelta(days=days))
NUMBERS = st.integers(1, 99)
KEYS = NUMBERS.map(str)
GALLONS = st.integers(0, 100).map(lambda half: Decimal(half) / 2)
TOTALS = st.integers(0, 40).map(lambda tens: Decimal(tens * 10))


def _maybe(strategy: st.SearchStrategy[T]) -> st.SearchStrategy[T | None]:
    return st.one_of(st.none(), strategy)


deferrals = st.builds(DeferralFact, PAST, _maybe(DAYS), _maybe(TOTALS), _maybe(TOTALS))
defects = st.builds(
    DefectFact,
    number=NUMBERS,
    point=st.just("point"),
    place=st.sampled_from(["", "axle 1 left", "axle 2 left", "axle 2 right"]),
    severity=st.sampled_from(Severity),
    bars=st.sampled_from(Bars),
    authority=st.sampled_from(Authority),
    listing=st.sampled_from(Listing),
    rule=st.just("point#worn"),
    since=PAST,
    graded=st.sampled_from([True, True, True, False]),
    certificate=st.one_of(st.none(), st.builds(RepairedFact, PAST), deferrals, deferrals),
    counts_as_service_brake=st.booleans(),
    on_steering_axle=st.sampled_from([False, False, False, True]),
    over_in=_maybe(st.sampled_from([Decimal("0.1"), Decimal("0.25"), Decimal("0.5")])),
)
holds = st.builds(HoldFact, NUMBERS, st.sampled_from(HoldKind), PAST, st.sampled_from(Bars))
moves = st.builds(
    LimitedMoveFact, st.just("the bay"), GALLONS, INSTANTS, st.just("Ada Brisk"), st.sampled_from(["", "20 mph"])
)
works = st.builds(WorkFact, NUMBERS, st.just("oil change"), PAST, st.sampled_from(["", "guard off"]), _maybe(INSTANTS))
refusals = st.builds(RefusalFact, KEYS, PAST, st.booleans())
POINTS = {
    "horn": (True, False, True),
    "lamps": (True, False, False),
    "floor": (True, True, True),
    "drain": (False, True, True),
    "flaps": (False, False, False),
}
"""Points by what is the same whoever looks: whether the rule lists it, a seal keeps from it, every walk asks it."""
left = st.builds(
    lambda point, area, why: LeftFact(point, "", area, *POINTS[point][:2], why, POINTS[point][2]),
    st.sampled_from(list(POINTS)),
    st.sampled_from(PartGroup),
    st.sampled_from([*NotReached, "flagged", "no_answer"]),
)


def looks(instants: st.SearchStrategy[datetime]) -> st.SearchStrategy[LookFact]:
    """A recent walk-around, which answers some of what another left and has no answer to others."""
    answers = st.sets(st.sampled_from([(point, "") for point in POINTS])).map(frozenset)
    found = st.builds(
        LookFact,
        instants,
        st.sampled_from(["ada", "tomo"]),
        st.sampled_from(["", "", "ada"]),
        st.lists(left, max_size=2, unique_by=lambda row: row.point).map(tuple),
        answers,
    )
    return found.map(lambda look: replace(look, answers=look.answers - {(row.point, row.place) for row in look.left}))


ends = st.builds(PeriodEnd, _maybe(DAYS), _maybe(DAYS), st.booleans(), st.one_of(st.none(), st.none(), DAYS))
spans = st.builds(Span, st.one_of(st.none(), st.none(), DAYS), ends)
burns = st.builds(Burn, st.floats(0.3, 3), st.floats(0, 2), st.floats(20, 500), st.integers(5, 40))
fuels = st.builds(
    FuelFact,
    PAST,
    _maybe(GALLONS),
    _maybe(GALLONS.map(lambda g: g / 10)),
    _maybe(GALLONS),
    GALLONS,
    st.booleans(),
    _maybe(burns),
)
airs = st.builds(
    AirFact,
    PAST,
    st.integers(-30, 100).map(Decimal),
    _maybe(st.builds(Approach, st.floats(-40, 40), st.floats(0.5, 9))),
)


def papers(*, several: bool = True) -> st.SearchStrategy[tuple[DocumentFact, ...]]:
    """Documents of different kinds, most of them in date for a while."""
    lists = st.lists(spans, min_size=0 if several else 1, max_size=2).map(tuple)
    document = st.builds(
        DocumentFact,
        st.sampled_from(["registration", "periodic_inspection", "permit"]),
        lists,
        st.just("source"),
        st.sampled_from([True, True, True, False]),
        st.sampled_from(["", "", "", "KY"]),
    )
    return st.lists(document, max_size=3, unique_by=lambda row: (row.kind, row.needed_in)).map(tuple)


def _said_if_missing(held: tuple[DocumentFact, ...]) -> tuple[DocumentFact, ...]:
    """As of a driver's documents, what is missing is said and does not bar."""
    return tuple(replace(document, missing_bars=False) for document in held)


def _few(strategy: st.SearchStrategy[T], chance: int = 3) -> st.SearchStrategy[tuple[T, ...]]:
    """Mostly nothing, so that many answers are not barred."""
    return st.one_of(*[st.just(()) for _ in range(chance)], st.lists(strategy, max_size=2).map(tuple))


def units(ref: str, kind: UnitKind) -> st.SearchStrategy[UnitFacts]:
    return st.builds(
        UnitFacts,
        st.just(ref),
        st.just(kind),
        others=st.one_of(
            st.none(),
            st.none(),
            st.builds(ThirdPartyFact, _maybe(DAYS), st.sampled_from(["", "P"]), st.sampled_from("QO")),
        ),
        holds=_few(holds, 6),
        limited_moves=_few(moves, 6),
        work=_few(works, 6),
        defects=_few(defects, 1),
        documents=papers(),
        reports_to_review=_few(st.builds(ReportFact, KEYS, PAST)),
        refusals=_few(refusals, 6),
        walk=_maybe(st.builds(WalkFact, INSTANTS, st.sampled_from(["ada", "tomo"]))),
        looks=_few(looks(INSTANTS), 2),
        service_brakes=st.sampled_from([None, 4, 6, 6, 10]),
        meters=st.builds(MeterFact, _maybe(TOTALS), _maybe(TOTALS)),
        fuel=_maybe(fuels),
        air=_maybe(airs),
    )


combinations = st.tuples(
    units("NL-11", UnitKind.TRACTOR), units("LR-41", UnitKind.TRAILER), units("CU-41", UnitKind.COOLING_UNIT)
)
loads = st.builds(
    LoadFact,
    temperature_class=st.sampled_from(TemperatureClass),
    setpoint_f=_maybe(st.just(Decimal(-10))),
    food=st.booleans(),
    pre_loaded=st.booleans(),
    pre_load_checked=st.booleans(),
    sealed=st.booleans(),
    seal_checked=st.booleans(),
    seal_read=st.sampled_from(["", "SEAL-7"]),
    us_states=st.sampled_from([frozenset(), frozenset({"KY", "TN"})]),
)
trips = st.builds(
    lambda departure, hours, miles: TripFact(departure, departure + hours, miles), INSTANTS, HOURS, _maybe(TOTALS)
)
policies = st.builds(
    ClearancePolicy,
    document_margin=st.sampled_from([timedelta(0), timedelta(days=1)]),
    walk_valid_for=st.sampled_from([timedelta(hours=12), timedelta(hours=24), timedelta(days=7)]),
    reading=st.sampled_from(Reading),
    small_carrier=st.booleans(),
    half_brake_counts=st.booleans(),
)
snapshots = st.builds(
    Snapshot,
    INSTANTS,
    ZONES,
    combinations,
    _maybe(trips),
    _maybe(loads),
    driver=_maybe(
        st.builds(DriverFact, st.sampled_from(["ada", "tomo"]), papers().map(_said_if_missing), st.booleans())
    ),
    carrier_documents=papers(),
    loads_at_risk=_few(
        st.builds(
            LoadAtRiskFact,
            *(KEYS, st.sampled_from(["LR-41", "LR-47"]), PAST, _maybe(PAST), st.booleans()),
            cause=st.sampled_from(RiskCause),
            cause_at=_maybe(PAST),
        )
    ),
    other_loads=_few(st.builds(OtherLoadFact, st.just("LD-902"), st.just("LR-41"), st.booleans())),
    joined=st.booleans(),
    left_behind=st.sampled_from([(), (), ("LR-48",)]),
    policy=policies,
)


LATER_DAYS = st.integers(0, 20).map(lambda days: date(2026, 3, 7) + timedelta(days=days))
SHORT = st.integers(0, 30).map(lambda hours: timedelta(hours=hours))
_lasting = st.builds(PeriodEnd, LATER_DAYS, _maybe(LATER_DAYS), st.just(value=False), st.one_of(st.none(), LATER_DAYS))
_lasting_document = st.builds(
    DocumentFact,
    st.sampled_from(["registration", "periodic_inspection", "permit"]),
    st.lists(st.builds(Span, st.none(), _lasting | st.just(PeriodEnd())), min_size=1, max_size=2).map(tuple),
    st.just("source"),
    needed_in=st.sampled_from(["", "", "KY"]),
)
_lasting_documents = st.lists(_lasting_document, max_size=2, unique_by=lambda row: (row.kind, row.needed_in)).map(tuple)
_deferred = st.builds(
    DefectFact,
    number=st.integers(1, 9),
    point=st.just("point"),
    place=st.just("rear"),
    severity=st.just(Severity.NEXT_SHOP_VISIT),
    bars=st.sampled_from([Bars.COLD_FREIGHT, Bars.FOOD, Bars.NOTHING]),
    authority=st.sampled_from(Authority),
    listing=st.just(Listing.NOTED),
    rule=st.just("point#worn"),
    since=PAST,
    certificate=st.builds(DeferralFact, PAST, LATER_DAYS, _maybe(st.just(Decimal(900))), _maybe(st.just(Decimal(900)))),
)
_fuel = st.builds(
    FuelFact,
    SHORT.map(lambda hours: START + hours),
    st.integers(20, 50).map(Decimal),
    st.integers(2, 10).map(lambda tenths: Decimal(tenths) / 10),
    running=st.sampled_from([True, True, False]),
)


def _promising_unit(ref: str, kind: UnitKind) -> st.SearchStrategy[UnitFacts]:
    return st.builds(
        UnitFacts,
        st.just(ref),
        st.just(kind),
        defects=_few(_deferred, 1),
        documents=_lasting_documents,
        reports_to_review=_few(st.builds(ReportFact, KEYS, PAST), 6),
        walk=st.builds(WalkFact, SHORT.map(lambda hours: START - hours), st.just("ada")),
        looks=_few(looks(SHORT.map(lambda hours: START - hours)), 2),
        service_brakes=st.just(6),
        meters=st.just(MeterFact(Decimal(100), Decimal(100))),
        fuel=_fuel,
    )


promising = st.builds(
    Snapshot,
    SHORT.map(lambda hours: START + hours),
    ZONES,
    st.tuples(
        _promising_unit("NL-11", UnitKind.TRACTOR),
        _promising_unit("LR-41", UnitKind.TRAILER),
        _promising_unit("CU-41", UnitKind.COOLING_UNIT),
    ),
    _maybe(
        st.builds(
            lambda departure, hours: TripFact(START + departure, START + departure + hours, Decimal(50)), SHORT, SHORT
        )
    ),
    st.builds(
        LoadFact,
        st.sampled_from(TemperatureClass),
        st.just(Decimal(-10)),
        st.booleans(),
        st.booleans(),
        us_states=st.sampled_from([frozenset(), frozenset({"KY"})]),
    ),
    driver=_maybe(st.just(DriverFact("ada"))),
    carrier_documents=_few(_lasting_document.filter(lambda row: row.kind == "permit"), 6),
    loads_at_risk=_few(st.builds(LoadAtRiskFact, KEYS, st.just("LR-41"), PAST, _maybe(PAST), st.booleans()), 4),
    joined=st.sampled_from([True, True, True, False]),
    left_behind=st.sampled_from([(), (), ("LR-48",)]),
    policy=st.builds(
        ClearancePolicy, walk_valid_for=st.sampled_from([timedelta(hours=36), timedelta(days=9), timedelta(days=30)])
    ),
)
"""Snapshots of which most are not barred and will not stay so."""
