"""How long a cold load's air was outside the ordered range, measured once readings of its cooling unit are learned."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from common.errors import Unavailable
from defects.enums import RiskCause, TemperatureClass
from defects.models import Load, LoadTemperature
from defects.rules.loads import ordered_range
from defects.services.loads.outside_range import put_at_risk
from fleet.models import CoolingReading, Mounting
from fleet.rules.carrier.policies import POLICIES
from fleet.rules.cooling.time_outside import time_outside
from fleet.selectors.cooling.series import readings_between
from fleet.services.records.unit_of_work import UnitOfWork

OUTSIDE_RANGE_MIN = "outside_range_min"
"""The policy that says how many minutes at a time the air may be outside."""


def measure_time_outside(unit: UUID, readings: Sequence[CoolingReading], work: UnitOfWork, **_: Any) -> None:
    """Measure the load aboard the trailer under a cooling unit, from its loading on; nothing where none is cold.

    Readings that say nothing of the air change nothing. A time outside that was longer than the carrier allows puts it
    at risk, once. `work` has locked the trailer too; Unavailable `busy` where the load came into another meanwhile.
    """
    if all(row.return_air_f is None and row.box_f is None for row in readings):
        return
    mounted = Mounting.objects.filter(cooling_unit_id=unit, span__contains=work.now)
    load = Load.objects.filter(
        trailer__in=mounted.values("trailer_id"), loaded_at__isnull=False, delivered_at__isnull=True
    ).first()
    if load is None or load.temperature_class == TemperatureClass.DRY or load.loaded_at is None:
        return
    if load.trailer_id not in work.units:
        raise Unavailable("busy", retry_after=1)
    before = LoadTemperature.objects.filter(load=load).values_list("too_long_until", flat=True).first()
    series = readings_between(unit, load.loaded_at, work.now)
    allowed: Any = work.in_force.policies.get(OUTSIDE_RANGE_MIN, POLICIES[OUTSIDE_RANGE_MIN].default)
    ordered = ordered_range(load.setpoint_f, load.lowest_f, load.highest_f)
    found = time_outside(series, *ordered, allowed_min=allowed)
    row = LoadTemperature(
        load=load,
        degree_min=int(found.degree_min),
        longest_min=int(found.longest_min),
        longest_until=found.longest_until,
        known_min=int(found.known_min),
        too_long_until=before if found.too_long is None else found.too_long.until,
        computed_at=work.now,
    )
    written = ["degree_min", "longest_min", "longest_until", "known_min", "too_long_until", "computed_at"]
    LoadTemperature.objects.bulk_create([row], update_conflicts=True, unique_fields=["load"], update_fields=written)
    if found.too_long is not None and (before is None or found.too_long.since > before):
        newest = max(readings, key=lambda reading: reading.read_at)
        facts = {"minutes": int(found.too_long.minutes)}
        since = found.too_long.since
        put_at_risk(load, RiskCause.AIR_OUTSIDE_RANGE, facts, since=since, by=newest.recorded_by, work=work)
