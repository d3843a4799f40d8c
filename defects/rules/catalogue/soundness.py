"""What must hold between the parts of a point, and between points, for a catalogue to be used. Reads no document."""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date
from itertools import combinations

from defects.enums import FREIGHT, Authority, Bars, Evidence, Leg, Listing, Severity, go_together, rank
from defects.rules.catalogue.clauses import AXLE_KEYS, When
from defects.rules.catalogue.closed_sets import (
    AXLE_PLACE_TYPES,
    CARRIER_GROUPS,
    CATALOGUE_LEGS,
    COOLING_SYSTEMS,
    TWO_SIDED,
    Basis,
    FailsWhen,
    PlaceType,
    RuleKind,
    WhenUnknown,
    Who,
)
from defects.rules.catalogue.places import is_position
from defects.rules.catalogue.points import Finding, Limit, Measure, Point
from fleet.enums import UnitKind

CATALOGUE_LISTINGS = frozenset({Listing.SAFETY, Listing.BREAKDOWN, Listing.NOTED})
"""What the catalogue may say of a finding; the others follow from who found or graded it."""

Found = tuple[str, str]
"""The field, or the limit, and what is wrong with it."""

OWN_LIMIT_PREFIX = "own-"
"""What a carrier's stricter limit is called: this, then the limit it stands beside."""
LONGEST_ID = 40
"""With the prefix; stored with every defect."""


def point_problems(point: Point) -> Iterator[Found]:
    """Everything that contradicts itself within one point."""
    yield from _authority(point)
    yield from _places(point)
    yield from _findings(point)
    yield from _limits(point)
    yield from _grades(point)
    yield from _clauses(point)
    yield from _people(point)


def _authority(point: Point) -> Iterator[Found]:
    if (point.authority is Authority.CARRIER) != (point.part_group in CARRIER_GROUPS):
        yield "part_group", f"{point.part_group} does not belong to a {point.authority} point"
    if point.subsystem is not None and point.subsystem.partition(".")[0] != point.system:
        yield "subsystem", f"{point.subsystem} is none of {point.system}"


def _places(point: Point) -> Iterator[Found]:
    if (point.place_type is PlaceType.POSITION) != bool(point.places):
        yield "places", "are listed exactly where the place type is position"
    if len(set(point.places)) != len(point.places):
        yield "places", "name a place twice"
    for place in point.places:
        if not is_position(place):
            yield "places", f"{place!r} has a word that cannot be named in every language"
    if point.axle_roles and point.place_type not in AXLE_PLACE_TYPES:
        yield "axle_roles", "need a place on an axle"
    if point.leg not in CATALOGUE_LEGS:
        yield "leg", f"is none of {', '.join(CATALOGUE_LEGS)}; the place says on which side"
    if point.place_type in AXLE_PLACE_TYPES and point.leg is not Leg.AXLES:
        yield "leg", "is axles for a place on an axle"
    if point.leg in TWO_SIDED and UnitKind.COOLING_UNIT in point.unit_kinds:
        yield "leg", "has two sides, and a cooling unit none"


def _findings(point: Point) -> Iterator[Found]:
    yield from _twice("finding", (finding.code for finding in point.findings))
    if sum(finding.default for finding in point.findings) != 1:
        yield "finding", "exactly one finding is the default"
    if {finding.code for finding in point.findings} & {limit.id for limit in point.limits}:
        yield "finding", "a finding and a limit have the same name, so a rule id would be ambiguous"


def _grades(point: Point) -> Iterator[Found]:
    rules: tuple[Limit | Finding, ...] = (*point.limits, *point.findings)
    for rule in rules:
        name = rule.id if isinstance(rule, Limit) else rule.code
        if not go_together(rule.severity, rule.bars):
            yield name, f"{rule.severity} does not go with bars {rule.bars}"
        yield from _listing(point, rule, name)
        for step in rule.raised:
            if rank(step.severity) <= rank(rule.severity):
                yield name, f"is raised to {step.severity}, which is no more severe than {rule.severity}"
            if rule.bars in FREIGHT and rank(step.severity) > rank(Severity.NEXT_SHOP_VISIT):
                yield name, "bars freight and may not be raised until it bars movement"
        if rule.counts_as_service_brake and point.place_type is not PlaceType.WHEEL_END:
            yield name, "counts as a service brake without lying at a wheel end"
        stops = rule.bars is Bars.MOVEMENT or any(rank(step.severity) > 1 for step in rule.raised)
        if stops and point.authority is Authority.CARRIER and point.system in COOLING_SYSTEMS:
            yield name, "a cooling fault never bars movement"


def _listing(point: Point, rule: Limit | Finding, name: str) -> Iterator[Found]:
    """Of a milder statutory finding that rests on no regulation, the catalogue says whether it is listed, and why."""
    if rule.listing is not None and rule.listing not in CATALOGUE_LISTINGS:
        yield name, f"is not listed for {rule.listing} by a catalogue"
    if rank(rule.severity) > rank(Severity.NEXT_SHOP_VISIT) and rule.listing is Listing.NOTED:
        yield name, "keeps the unit from being used, and cannot be noted only"
    own = point.authority is Authority.STATUTORY and rule.kind is RuleKind.CARRIER
    if own and rule.severity is Severity.NEXT_SHOP_VISIT and rule.listing is None:
        yield name, "does not say whether it is listed (49 CFR 396.11(a)(2)(i)), and why"


def _clauses(point: Point) -> Iterator[Found]:
    on_axle = point.place_type in AXLE_PLACE_TYPES
    for where, when in _whens(point):
        for key, values in when.items():
            if key in AXLE_KEYS and not on_axle:
                yield where, f"{key} asks for an axle, and the point has none"
            if key == "place":
                yield from _place_values(point, where, values)


def _place_values(point: Point, where: str, values: Iterable[object]) -> Iterator[Found]:
    for value in values:
        if value not in point.places:
            yield where, f"{value!r} is not a place of this point"


def _whens(point: Point) -> Iterator[tuple[str, When]]:
    yield "applies_when", point.applies_when
    for limit in point.limits:
        yield limit.id, limit.when
        for step in limit.raised:
            yield limit.id, step.when
    for finding in point.findings:
        for step in finding.raised:
            yield finding.code, step.when


def _people(point: Point) -> Iterator[Found]:
    if point.who is Who.MECHANIC and point.correctable:
        yield "correctable", "what only a mechanic may pass is not put right on the spot by a driver"
    if point.for_trained_drivers and point.who is not Who.MECHANIC:
        yield "for_trained_drivers", "opens a mechanic's point, and this is none"
    cautions = {bool(text.caution) for text in point.text.values()}
    if len(cautions) > 1:
        yield "text", "has a caution in one language only"
    figures = {bool(text.figure) for text in point.text.values()}
    if len(figures) > 1:
        yield "text", "says what the figure is in one language only"
    if True in figures and point.measure is None:
        yield "text", "says what the figure is, and nothing is measured"
    if len({bool(text.put_right) for text in point.text.values()}) > 1:
        yield "text", "says in one language only how a driver puts it right"
    rules: tuple[Limit | Finding, ...] = (*point.limits, *point.findings)
    if point.ends_by_driver and any(rule.bars is Bars.MOVEMENT for rule in rules):
        yield "text", "what bars movement is not the driver's to end"


def _twice(field: str, names: Iterable[str]) -> Iterator[Found]:
    for name, count in Counter(names).items():
        if count > 1:
            yield field, f"{name} is there {count} times"


def _limits(point: Point) -> Iterator[Found]:
    """Everything that contradicts itself in the measure and the limits of one point."""
    measure = point.measure
    if measure is None:
        if point.limits:
            yield "limit", "a limit needs a measure"
        if point.evidence is Evidence.MEASUREMENT:
            yield "evidence", "a measurement cannot be asked where nothing is measured"
        return
    if not point.limits:
        yield "measure", "a measured point needs a limit"
    if measure.minimum >= measure.maximum:
        yield "measure", "the plausible minimum is not below the maximum"
    for limit_id, count in Counter(limit.id for limit in point.limits).items():
        if count > 1:
            yield limit_id, f"is there {count} times"
    for limit in point.limits:
        yield from _alone(limit, measure)
    yield from _together(point.limits)


def _alone(limit: Limit, measure: Measure) -> Iterator[Found]:
    if len(limit.id.removeprefix(OWN_LIMIT_PREFIX)) > LONGEST_ID - len(OWN_LIMIT_PREFIX):
        yield limit.id, "leaves no room for the name of a carrier's stricter limit"
    outside = limit.fails_when is FailsWhen.OUTSIDE
    bounds = limit.low is not None and limit.high is not None
    given = [limit.value is not None, limit.share is not None, limit.low is not None or limit.high is not None]
    if sum(given) != 1 or outside != given[2] or (given[2] and not bounds):
        yield limit.id, "needs exactly a value, a share, or for outside both a low and a high bound"
    if limit.low is not None and limit.high is not None and limit.low >= limit.high:
        yield limit.id, "the low bound is not below the high bound"
    for figure in (limit.value, limit.low, limit.high):
        if figure is not None and not measure.minimum <= figure <= measure.maximum:
            yield limit.id, f"{figure} lies outside the plausible values"
    if limit.effective_from and limit.effective_until and limit.effective_from > limit.effective_until:
        yield limit.id, "ends before it begins"
    if limit.kind is RuleKind.REGULATION and limit.source.basis not in (Basis.READ, Basis.MEMORY):
        yield limit.id, "a regulation's limit needs a section that was read or is remembered"
    if limit.kind is RuleKind.REGULATION and limit.when_unknown is WhenUnknown.SKIPPED and limit.share is None:
        yield limit.id, "a regulation's limit is never skipped, unless its figure itself is one to be recorded"


def _together(limits: tuple[Limit, ...]) -> Iterator[Found]:
    """Two limits for the same case on the same day must differ in what they lead to."""
    for one, other in combinations(limits, 2):
        if _case(one) == _case(other) and _overlap(one, other):
            yield other.id, f"says the same as {one.id} on the same days, with another figure"


def _case(limit: Limit) -> tuple[object, ...]:
    fact = None if limit.share is None else limit.share.fact
    return (limit.when, limit.fails_when, limit.severity, limit.bars, limit.kind, fact)


def _overlap(one: Limit, other: Limit) -> bool:
    return max(_start(one), _start(other)) <= min(_end(one), _end(other))


def _start(limit: Limit) -> date:
    return limit.effective_from or date.min


def _end(limit: Limit) -> date:
    return limit.effective_until or date.max
