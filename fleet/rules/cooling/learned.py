"""All that is learned of one cooling unit from its readings, as one; what too few readings do not tell is None."""

from collections.abc import Sequence
from dataclasses import dataclass

from common.prediction import NextValue
from fleet.rules.cooling.air import air_drop_of
from fleet.rules.cooling.fuel import Burn, Lost, fuel_of
from fleet.rules.cooling.pull_down import PullDown, pull_down_of
from fleet.rules.cooling.readings import Figures
from fleet.rules.cooling.warm_up import WarmUp, warm_up_of


@dataclass(frozen=True, slots=True)
class Learned:
    """What a series of readings says of its unit; `lost` is the newest fuel that hours do not explain."""

    burn: Burn | None
    lost: Lost | None
    pull_down: PullDown | None
    warm_up: WarmUp | None
    air_drop: NextValue | None


def learn(series: Sequence[Figures]) -> Learned:
    """Learn from the readings of one unit, in the order of time."""
    fuel = fuel_of(series)
    return Learned(
        burn=fuel.burn,
        lost=fuel.lost[-1] if fuel.lost else None,
        pull_down=pull_down_of(series),
        warm_up=warm_up_of(series),
        air_drop=air_drop_of(series),
    )
