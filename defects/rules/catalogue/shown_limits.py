"""Which limits of a point hold at one place of one unit on a day, and at what figure. Compares no value."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from defects.rules.catalogue.closed_sets import FailsWhen, WhenUnknown
from defects.rules.catalogue.conditions import Match, Situation, match, threshold
from defects.rules.catalogue.points import Limit, Point


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
