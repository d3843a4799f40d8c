"""What axles may weigh on the Interstate, and what moving a trailer's tandem would change. Judges no permit.

23 U.S.C. 127 and 23 CFR 658.17: read, the bridge formula through a second text, since it is an image in the copy. A
State may allow more or less on its other roads.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

AXLE_LB, TANDEM_LB, GROSS_LB = 20_000, 34_000, 80_000
"""658.17(b), (c), (d), every tolerance included."""
ONE_AXLE_IN, TANDEM_IN = 40, 96
"""658.5: axles within 40 inches are one, more than one within 96 a tandem (read through 658.17)."""
TANDEMS_APART_IN = 36 * 12
"""658.17(e): two tandems may weigh 34,000 lb each if their outer axles are 36 feet apart or more."""
MOST_SLIDE_IN = 120
"""Farther than this no slider goes: common practice, no source."""
DIVISION_LB = 20
"""By so much each group may be rounded on the ticket: common practice, no source."""
LIGHTEST_LB, HEAVIEST_LB = 500, 60_000
"""What an axle can weigh at all: our own figures."""


class WeightLimit(StrEnum):
    """What limits the weight of axles."""

    AXLE = "axle"
    TANDEM = "tandem"
    BRIDGE = "bridge"
    GROSS = "gross"
    TIRES = "tires"


class WeightUnknown(StrEnum):
    """Why a weight could not be compared with a limit."""

    AXLE_DISTANCES = "axle_distances"
    TIRE_RATINGS = "tire_ratings"
    TICKET_FLAGGED = "ticket_flagged"
    OTHER_TRACTOR = "other_tractor"
    WEIGHED_TOGETHER = "weighed_together"


class TicketFlag(StrEnum):
    """What is odd about a scale ticket."""

    DOES_NOT_ADD_UP = "does_not_add_up"
    AXLES_DIFFER = "axles_differ"
    IMPLAUSIBLE = "implausible"


@dataclass(frozen=True, slots=True)
class AxlePlace:
    """One axle of a combination: its unit, its number there, and the pounds that its tires may carry.

    `at_in` are inches behind the first axle of its `frame`: distances are known only between axles of one frame.
    """

    unit: str
    number: int
    at_in: int = 0
    frame: int = 0
    tires_lb: int | None = None


@dataclass(frozen=True, slots=True)
class AxleGroup:
    """Axles next to each other that were weighed at once, in pounds."""

    axles: tuple[AxlePlace, ...]
    lb: Fraction

    @property
    def span_in(self) -> int | None:
        """Inches between its outer axles; None where they are not recorded."""
        return _between(self.axles)


@dataclass(frozen=True, slots=True)
class Overweight:
    """Axles that weigh more than a limit, in pounds."""

    limit: WeightLimit
    axles: tuple[AxlePlace, ...]
    lb: int
    limit_lb: int


@dataclass(frozen=True, slots=True)
class WeightVerdict:
    """What is over a limit, and what could not be compared for want of a record."""

    over: tuple[Overweight, ...]
    unknown: frozenset[WeightUnknown]


@dataclass(frozen=True, slots=True)
class Tandem:
    """A trailer's sliding tandem, in inches: kingpin to its rearmost axle, its own span, one hole to the next."""

    kingpin_to_rear_axle_in: int
    span_in: int
    hole_in: int


@dataclass(frozen=True, slots=True)
class Slide:
    """So many holes, toward the rear or the front, after which every weight would be within its limits."""

    holes: int
    rearward: bool


def bridge_limit(axles: int, length_in: int) -> int:
    """What a group of two or more axles may weigh, in pounds: W = 500 (LN/(N-1) + 12N + 36), to the nearest 500.

    L is the length in feet, not rounded. What lies halfway goes down, as in the published table.
    """
    exact = Fraction(length_in * axles, 12 * (axles - 1)) + 12 * axles + 36
    return 500 * -int((Fraction(1, 2) - exact) // 1)


def judge_weights(groups: Sequence[AxleGroup]) -> WeightVerdict:
    """Compare weighed groups, in their order from the front, with the limits of axles, bridges, tires and gross weight.

    A limit that hangs on an unrecorded distance or rating is unknown only where it could be passed.
    """
    found = [*_groups_alone(groups), *_bridges(groups), *_tires(groups)]
    gross = sum((group.lb for group in groups), Fraction())
    if gross > GROSS_LB:
        found.append(Overweight(WeightLimit.GROSS, _axles(groups), int(gross), GROSS_LB))
    over = tuple(item for item in found if isinstance(item, Overweight))
    return WeightVerdict(over, frozenset(item for item in found if isinstance(item, WeightUnknown)))


def slide_that_helps(groups: Sequence[AxleGroup], tandem: Tandem) -> Slide | None:
    """The fewest holes after which nothing would be over a limit; None where no hole does it.

    The last group is the tandem, the one before it carries the kingpin. Moved back by s inches, the tandem sheds
    about R s / (Lb + s) of its R pounds to the kingpin, Lb being kingpin to tandem center: the balance of one beam, the
    weight of the tandem itself taken to stay (derived). So it is weighed again.
    """
    for holes in range(1, MOST_SLIDE_IN // tandem.hole_in + 1):
        for rearward in (False, True):
            moved = _moved(groups, tandem, holes * tandem.hole_in * (1 if rearward else -1))
            if moved is not None and not judge_weights(moved).over:
                return Slide(holes, rearward)
    return None


def _moved(groups: Sequence[AxleGroup], tandem: Tandem, inches: int) -> list[AxleGroup] | None:
    base = Fraction(tandem.kingpin_to_rear_axle_in) - Fraction(tandem.span_in, 2)
    if base + inches <= 0:
        return None
    *ahead, kingpin, last = groups
    shift = last.lb * inches / (base + inches)
    there = tuple(replace(axle, at_in=axle.at_in + inches) for axle in last.axles)
    return [*ahead, replace(kingpin, lb=kingpin.lb + shift), AxleGroup(there, last.lb - shift)]


def _groups_alone(groups: Sequence[AxleGroup]) -> Iterator[Overweight | WeightUnknown]:
    for group in groups:
        limit, limit_lb = _limit_of(group)
        if limit is None:
            if group.lb > TANDEM_LB:
                yield WeightUnknown.AXLE_DISTANCES
        elif group.lb > limit_lb:
            yield Overweight(limit, group.axles, int(group.lb), limit_lb)
        if group.lb > AXLE_LB and _holds_more_than_one(group.axles):
            yield WeightUnknown.WEIGHED_TOGETHER


def _limit_of(group: AxleGroup) -> tuple[WeightLimit | None, int]:
    """The limit of one group; none where it hangs on a distance that is not recorded."""
    count, span = len(group.axles), group.span_in
    if (span is None or span > TANDEM_IN) and group.lb > count * AXLE_LB:  # one of them, at least, weighs too much
        return WeightLimit.AXLE, count * AXLE_LB
    return (None, 0) if span is None else _limit_by_length(group.axles, span)


def _holds_more_than_one(axles: Sequence[AxlePlace]) -> bool:
    """Whether axles weighed at once hold a group with limits of its own: three or more, two of them far apart."""
    gaps = [_between(pair) for pair in pairwise(axles)]
    return len(axles) > 2 and any(gap is not None and gap > TANDEM_IN for gap in gaps)  # noqa: PLR2004


def _bridges(groups: Sequence[AxleGroup]) -> Iterator[Overweight | WeightUnknown]:
    """Every run of two or more groups next to each other; those of one tandem, weighed axle by axle, among them."""
    for first in range(len(groups)):
        for end in range(first + 2, len(groups) + 1):
            run = groups[first:end]
            axles, weight = _axles(run), sum((group.lb for group in run), Fraction())
            length = _between(axles)
            if length is None:
                if weight > TANDEM_LB:
                    yield WeightUnknown.AXLE_DISTANCES
            elif weight > (limit := _limit_by_length(axles, length))[1]:
                yield Overweight(limit[0], axles, int(weight), limit[1])


def _limit_by_length(axles: Sequence[AxlePlace], length_in: int) -> tuple[WeightLimit, int]:
    """The limit of axles by the inches between the outer ones."""
    if length_in <= ONE_AXLE_IN:
        return WeightLimit.AXLE, AXLE_LB
    if length_in <= TANDEM_IN:
        return WeightLimit.TANDEM, TANDEM_LB
    by_formula = bridge_limit(len(axles), length_in)
    tandems = any(_is_tandem(axles[:end]) and _is_tandem(axles[end:]) for end in range(2, len(axles) - 1))
    excepted = tandems and length_in >= TANDEMS_APART_IN
    return WeightLimit.BRIDGE, max(by_formula, 2 * TANDEM_LB) if excepted else by_formula


def _is_tandem(axles: Sequence[AxlePlace]) -> bool:
    span = _between(axles)
    return span is not None and ONE_AXLE_IN < span <= TANDEM_IN


def _tires(groups: Sequence[AxleGroup]) -> Iterator[Overweight | WeightUnknown]:
    """393.75(g): no tire carries more than is marked on it; the weight taken to be the same on each tire."""
    for group in groups:
        ratings = [axle.tires_lb for axle in group.axles]
        known = [rating for rating in ratings if rating is not None]
        if len(known) < len(ratings):
            yield WeightUnknown.TIRE_RATINGS
        elif group.lb > sum(known):
            yield Overweight(WeightLimit.TIRES, group.axles, int(group.lb), sum(known))


def _axles(groups: Sequence[AxleGroup]) -> tuple[AxlePlace, ...]:
    return tuple(axle for group in groups for axle in group.axles)


def _between(axles: Sequence[AxlePlace]) -> int | None:
    first, last = axles[0], axles[-1]
    return last.at_in - first.at_in if first.frame == last.frame else None


@dataclass(frozen=True, slots=True)
class AxleRecord:
    """One axle as recorded on its unit: inches behind the axle ahead of it, its tires, what each may carry."""

    number: int
    spacing_in: int | None
    tires: int
    tire_rating_lb: int | None


@dataclass(frozen=True, slots=True)
class UnitAxles:
    """The axles of one unit, front to rear, and the inches from kingpin or fifth wheel to the rearmost one."""

    unit: str
    axles: tuple[AxleRecord, ...]
    coupling_to_rear_in: int | None = None


def lay_out(tractor: UnitAxles, trailer: UnitAxles | None) -> tuple[AxlePlace, ...]:
    """Every axle of a tractor and its trailer, from the front, as far as the distances between them are known."""
    ahead = _places(tractor)
    if trailer is None:
        return ahead
    behind = _places(trailer, frame=len(ahead))
    if not ahead or not behind or tractor.coupling_to_rear_in is None or trailer.coupling_to_rear_in is None:
        return (*ahead, *behind)
    rear = ahead[-1].at_in - tractor.coupling_to_rear_in + trailer.coupling_to_rear_in
    last = behind[-1]
    linked = (
        replace(axle, frame=ahead[-1].frame, at_in=rear - (last.at_in - axle.at_in))
        if axle.frame == last.frame
        else axle
        for axle in behind
    )
    return (*ahead, *linked)


def _places(unit: UnitAxles, frame: int = 0) -> tuple[AxlePlace, ...]:
    at, places = 0, []
    for index, axle in enumerate(unit.axles):
        if index and axle.spacing_in is None:
            frame, at = frame + 1, 0
        elif index:
            at += axle.spacing_in or 0
        tires_lb = None if axle.tire_rating_lb is None else axle.tires * axle.tire_rating_lb
        places.append(AxlePlace(unit.unit, axle.number, at, frame, tires_lb))
    return tuple(places)


def ticket_flags(groups: Sequence[tuple[int, int]], gross_lb: int, axles: int) -> list[TicketFlag]:
    """What is odd about a ticket, given as (axles, pounds) of each group. `axles` are recorded, 0 where none are."""
    flags = []
    if abs(sum(lb for _, lb in groups) - gross_lb) > DIVISION_LB * len(groups):
        flags.append(TicketFlag.DOES_NOT_ADD_UP)
    if axles and sum(count for count, _ in groups) != axles:
        flags.append(TicketFlag.AXLES_DIFFER)
    if any(not LIGHTEST_LB <= lb / count <= HEAVIEST_LB for count, lb in groups):
        flags.append(TicketFlag.IMPLAUSIBLE)
    return flags
