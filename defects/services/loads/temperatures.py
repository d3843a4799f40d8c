"""How long a cold load's air was outside the ordered range, measured whenever readings of its cooling unit arrive."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from defects.enums import TemperatureClass
from defects.models import Load, LoadTemperature
from defects.rules.loads import ordered_range
from fleet.models import CoolingReading, Mounting
from fleet.rules.cooling.time_outside import time_outside
from fleet.selectors.cooling.series import readings_between
from fleet.services.records.unit_of_work import UnitOfWork


def measure_time_outside(unit: UUID, readings: Sequence[CoolingReading], work: UnitOfWork, **_: Any) -> None:
    """Measure the load aboard the trailer under a cooling unit, from its loading on; nothing where none is cold.

    Readings that say nothing of the air change nothing.
    """
    if all(row.return_air_f is None and row.box_f is None for row in readings):
        return
    mounted = Mounting.objects.filter(cooling_unit_id=unit, span__contains=work.now)
    load = Load.objects.filter(
        trailer__in=mounted.values("trailer_id"), loaded_at__isnull=False, delivered_at__isnull=True
    ).first()
    if load is None or load.temperature_class == TemperatureClass.DRY or load.loaded_at is None:
        return
    series = readings_between(unit, load.loaded_at, work.now)
    found = time_outside(series, *ordered_range(load.setpoint_f, load.lowest_f, load.highest_f))
    row = LoadTemperature(
        load=load,
        degree_min=int(found.degree_min),
        longest_min=int(found.longest_min),
        longest_until=found.longest_until,
        known_min=int(found.known_min),
        computed_at=work.now,
    )
    written = ["degree_min", "longest_min", "longest_until", "known_min", "computed_at"]
    LoadTemperature.objects.bulk_create([row], update_conflicts=True, unique_fields=["load"], update_fields=written)
