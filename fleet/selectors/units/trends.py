"""The newest readings of a unit's meters, and what they run in a day."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from common.prediction import SlopeBand
from fleet.enums import MeterKind, ReadingState
from fleet.models import MeterReading
from fleet.rules.units.meters import Reading
from fleet.rules.units.trends import MeterFlag, cross_check, daily

NEWEST = 120
"""So many readings of all meters are read: our own figure."""


@dataclass(frozen=True)
class MeterTrend:
    """The readings of one meter, oldest first, and what it runs in a day; None of too few."""

    readings: Sequence[Reading]
    daily: SlopeBand | None


@dataclass(frozen=True)
class MeterTrends:
    """The meters of a unit, and what miles and engine hours say against each other."""

    meters: Mapping[str, MeterTrend]
    flag: MeterFlag | None


def meter_trends(unit: UUID) -> MeterTrends:
    """What the newest accepted readings of a unit's meters come to, in one statement."""
    newest = MeterReading.objects.filter(unit=unit, state=ReadingState.ACCEPTED).order_by("-read_at", "-total", "-pk")
    series: defaultdict[str, list[Reading]] = defaultdict(list)
    for meter, at, total in reversed(newest.values_list("meter", "read_at", "total")[:NEWEST]):
        series[meter].append(Reading(at, total))
    meters = {meter: MeterTrend(readings, daily(readings)) for meter, readings in sorted(series.items())}
    by_day = {meter: trend.daily for meter, trend in meters.items()}
    flag = cross_check(by_day.get(MeterKind.ODOMETER_MI), by_day.get(MeterKind.ENGINE_H))
    return MeterTrends(meters, flag)
