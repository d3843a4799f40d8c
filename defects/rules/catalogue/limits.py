"""Comparing a value with every limit that applies to it on a day, and which limits a driver is shown beforehand."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from defects.rules.catalogue.closed_sets import FailsWhen, RuleKind, WhenUnknown
from defects.rules.catalogue.conditions import Match, Situation, match, threshold
from defects.rules.catalogue.points import Limit, Point


@dataclass(frozen=True, slots=True)
class Compared:
    """One limit as it came out for this unit: the figure it stands at, and whether the value fails it."""

    limit: Limit
    figure: Decimal
    fails: bool


@dataclass(frozen=True, slots=True)
class Comparison:
    """The limits that apply, and whether it is not known which one does. `possible` are those that may apply."""

    applied: tuple[Compared, ...]
    possible: tuple[Compared, ...]
    unknown: bool

    @property
    def failed(self) -> tuple[Compared, ...]:
        """The limits the value fails for certain.

        Where the right limit is not known, a value that fails every one that could be right still fails.
        """
        certain = tuple(compared for compared in self.applied if compared.fails)
        if self.unknown and self.possible and all(compared.fails for compared in self.possible):
            return certain + self.possible
        return certain


def compare(point: Point, value: Decimal, situation: Situation, on: date) -> Comparison:
    """Compare a plausible value in the point's own unit of measure with every limit in force on a day.

    `unknown` is set when no limit can be said to apply, or when one that may apply hangs on a fact nobody recorded.
    """
    applied: list[Compared] = []
    possible: list[Compared] = []
    assumed: list[Compared] = []
    open_ended = False
    for limit in point.limits:
        if not limit.in_force(on):
            continue
        answer = match(limit.when, situation)
        if answer is Match.NO:
            continue
        compared = _against(limit, value, situation)
        unknown = answer is Match.UNKNOWN or compared is None
        if not unknown and compared is not None:
            applied.append(compared)
        elif limit.when_unknown is WhenUnknown.SKIPPED:
            continue
        elif compared is None:
            open_ended = True
        elif limit.when_unknown is WhenUnknown.APPLIES:
            assumed.append(compared)
        else:
            possible.append(compared)
    if assumed:
        return Comparison((*applied, *assumed), (), unknown=open_ended)
    none_applies = not any(compared.limit.kind is RuleKind.REGULATION for compared in applied) and _asks_regulation(
        point, on
    )
    unknown = open_ended or bool(possible) or none_applies or not applied
    return Comparison(tuple(applied), () if open_ended else tuple(possible), unknown=unknown)


def _asks_regulation(point: Point, on: date) -> bool:
    """Whether some regulation's limit must apply; one that holds only where its figure is recorded need not."""
    return any(
        limit.kind is RuleKind.REGULATION and limit.when_unknown is not WhenUnknown.SKIPPED and limit.in_force(on)
        for limit in point.limits
    )


def _against(limit: Limit, value: Decimal, situation: Situation) -> Compared | None:
    if limit.fails_when is FailsWhen.OUTSIDE:
        if limit.low is None or limit.high is None:
            return None
        figure = limit.low if value < limit.low else limit.high
        return Compared(limit, figure, fails=not limit.low <= value <= limit.high)
    found = threshold(limit.share, situation) if limit.share is not None else limit.value
    if found is None:
        return None
    return Compared(limit, found, fails=_fails(limit.fails_when, value, found))


def _fails(fails_when: FailsWhen, value: Decimal, figure: Decimal) -> bool:
    if fails_when is FailsWhen.ABOVE:
        return value > figure
    if fails_when is FailsWhen.AT_OR_ABOVE:
        return value >= figure
    if fails_when is FailsWhen.BELOW:
        return value < figure
    return value <= figure


@dataclass(frozen=True, slots=True)
class ShownLimit:
    """One limit with its figure, or both bounds of a range, in the point's own unit of measure.

    `certain` is False while it hangs on a fact that nobody recorded or that only the walk will tell.
    """

    limit: Limit
    certain: bool
    figure: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None


def limits_at(point: Point, situation: Situation, on: date) -> list[ShownLimit]:
    """The limits of a point that hold, or may hold, in a situation on a day, in the catalogue's order.

    A limit that is left out where its figure is not known is not shown without one.
    """
    shown = []
    for limit in point.limits:
        answer = match(limit.when, situation)
        if answer is Match.NO or not limit.in_force(on):
            continue
        if limit.fails_when is FailsWhen.OUTSIDE:
            shown.append(ShownLimit(limit, answer is Match.YES, low=limit.low, high=limit.high))
            continue
        figure = threshold(limit.share, situation) if limit.share is not None else limit.value
        if figure is None and limit.when_unknown is WhenUnknown.SKIPPED:
            continue
        shown.append(ShownLimit(limit, answer is Match.YES and figure is not None, figure=figure))
    return shown
