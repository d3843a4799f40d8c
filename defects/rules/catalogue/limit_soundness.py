"""What must hold for the limits of one point. Reads no document."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from itertools import combinations

from defects.enums import Evidence
from defects.rules.catalogue.points import Limit, Measure, Point
from defects.rules.vocabulary import Basis, FailsWhen, RuleKind, WhenUnknown

Found = tuple[str, str]
"""The limit, and what is wrong with it."""

OWN_LIMIT_PREFIX = "own-"
"""What a carrier's stricter limit is called: this, then the limit it stands beside."""
LONGEST_ID = 40
"""With the prefix; stored with every defect."""


def limit_problems(point: Point) -> Iterator[Found]:
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
