"""How much a unit cools the air that passes it, return minus supply in full cooling, learned for each unit."""

from collections.abc import Sequence

from common.prediction import NextValue, next_value
from fleet.rules.cooling.readings import Figures

WELL_ABOVE_F = 10
FEWEST = 10
"""Our own: full cooling is a box 10 °F above its setpoint; with fewer than ten readings nothing is learned."""


def air_drop_of(series: Sequence[Figures]) -> NextValue | None:
    """Return minus supply in °F: the mean, and how far below it one further reading may lie; None with too few."""
    drops = [
        float(each.return_air_f - each.supply_air_f)
        for each in series
        if each.runs
        and each.return_air_f is not None
        and each.supply_air_f is not None
        and each.setpoint_f is not None
        and each.return_air_f >= each.setpoint_f + WELL_ABOVE_F
    ]
    return next_value(drops) if len(drops) >= FEWEST else None
