"""Comparing severities and what they bar, and which of the two go together. Holds no point."""

from collections.abc import Iterable

from defects.enums import BARS_RANK, FREIGHT, SEVERITY_RANK, Bars, Severity

_BARS_MOVEMENT = frozenset({Severity.BEFORE_NEXT_USE, Severity.DO_NOT_MOVE})


def rank(severity: Severity | str) -> int:
    """0 for the mildest (`watch`), 3 for `do_not_move`; ValueError for another word."""
    return SEVERITY_RANK[Severity(severity)]


def worst(severities: Iterable[Severity | str]) -> Severity | None:
    """The most severe of them, or None of none."""
    return max((Severity(severity) for severity in severities), key=SEVERITY_RANK.__getitem__, default=None)


def is_worse(severity: Severity | str, than: Severity | str) -> bool:
    """Whether the first is more severe than the second; equal ones are not."""
    return rank(severity) > rank(than)


def bars_rank(bars: Bars | str) -> int:
    """0 for `nothing`, 3 for `movement`; ValueError for another word."""
    return BARS_RANK[Bars(bars)]


def default_bars(severity: Severity) -> Bars:
    """What a severity bars unless a point says otherwise: movement for the two that stop a unit, else nothing."""
    return Bars.MOVEMENT if severity in _BARS_MOVEMENT else Bars.NOTHING


def go_together(severity: Severity, bars: Bars) -> bool:
    """Whether the pair is one that a finding may carry.

    `movement` belongs to exactly the two severities that keep a unit from being driven. `cold_freight` and `food`
    belong to `next_shop_visit` alone: the fault keeps such freight off and never stops the unit.
    """
    if bars in FREIGHT:
        return severity is Severity.NEXT_SHOP_VISIT
    return (bars is Bars.MOVEMENT) == (severity in _BARS_MOVEMENT)


def stops_movement(bars: str, *, listed: bool) -> bool:
    """Whether a graded defect stops movement until it is certified: it bars it, or stands on the certified list.

    What is listed needs its certificate before the unit is driven again (396.11(a)(3), 396.13); freight's faults are
    weighed for freight alone.
    """
    return bars == Bars.MOVEMENT or (listed and bars not in FREIGHT)
