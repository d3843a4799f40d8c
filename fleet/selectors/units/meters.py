"""What a new meter reading is compared with: its neighbours in time, and what replaced meters add."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Value

from fleet.enums import ReadingState
from fleet.models import MeterReading, MeterReplacement
from fleet.rules.units.meters import Reading, Replacement

MeterName = tuple[UUID, str]
"""A meter: the unit's key and the meter's kind."""


@dataclass(frozen=True)
class MeterBook:
    """By meter: the accepted readings nearest to an instant, on both sides of it, and all replacements."""

    series: Mapping[MeterName, Sequence[Reading]]
    replacements: Mapping[MeterName, Sequence[Replacement]]

    def series_of(self, unit: UUID, meter: str) -> Sequence[Reading]:
        """The accepted neighbours of one meter, none for a meter never read."""
        return self.series.get((unit, meter), ())

    def replacements_of(self, unit: UUID, meter: str) -> Sequence[Replacement]:
        return self.replacements.get((unit, meter), ())


def meter_book(units: Iterable[UUID], at: datetime) -> MeterBook:
    """What readings of these units' meters at an instant are compared with, in one statement."""
    keys = list(units)
    accepted = (
        MeterReading.objects.filter(unit_id__in=keys, state=ReadingState.ACCEPTED)
        .order_by("unit_id", "meter")
        .distinct("unit_id", "meter")
    )
    before = accepted.filter(read_at__lte=at).order_by("unit_id", "meter", "-read_at", "-total")
    after = accepted.filter(read_at__gt=at).order_by("unit_id", "meter", "read_at", "total")
    replaced = MeterReplacement.objects.filter(unit_id__in=keys).order_by()
    is_reading, is_replacement = Value(value=True), Value(value=False)
    rows = before.values_list("unit_id", "meter", "read_at", "total", is_reading).union(
        after.values_list("unit_id", "meter", "read_at", "total", is_reading),
        replaced.values_list("unit_id", "meter", "replaced_at", "offset", is_replacement),
        all=True,
    )
    series: defaultdict[MeterName, list[Reading]] = defaultdict(list)
    replacements: defaultdict[MeterName, list[Replacement]] = defaultdict(list)
    for unit, meter, instant, number, reading in rows:
        if reading:
            series[unit, meter].append(Reading(instant, number))
        else:
            replacements[unit, meter].append(Replacement(instant, number))
    return MeterBook(series, replacements)
