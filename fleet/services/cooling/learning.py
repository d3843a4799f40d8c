"""What is learned of a cooling unit, in one row for each, written anew after readings of it have arrived."""

from collections.abc import Sequence
from datetime import datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from uuid import UUID

from django.db.models import Max

from fleet.models import CoolingForecast, CoolingReading
from fleet.rules.cooling.learned import Learned, learn
from fleet.rules.cooling.readings import Figures
from fleet.selectors.cooling.series import learned_from
from fleet.selectors.units.combinations import trailers_beside
from fleet.services.cooling.lost_fuel import tell_of_lost_fuel
from fleet.services.notifications.skipped_records import in_batches
from fleet.services.records.unit_of_work import unit_of_work
from fleet.signals import cooling_readings_learned


def learn_from_readings(*, now: datetime) -> int:
    """Learn anew of every unit with readings that its forecast does not count yet; of how many.

    Each unit as of now, or as of its newest reading's record where that is later, in a transaction of its own: what
    arrives meanwhile is left for the next run, and running twice at once or again is harmless.
    """
    arrived = CoolingReading.objects.filter(is_learned=False).values_list("unit_id").order_by("unit_id")
    return in_batches(
        "learn_from_readings",
        list(arrived.annotate(at=Max("recorded_at"))),
        lambda batch: sum(_learn(unit, max(now, at)) for unit, at in batch),
        key=lambda each: each[0],
        size=1,
        now=now,
    )


def _learn(unit: UUID, now: datetime) -> int:
    with unit_of_work([unit], beside=trailers_beside, actor=None, now=now) as work:
        arrived = CoolingReading.objects.filter(unit_id=unit, is_learned=False, recorded_at__lte=now)
        readings = list(arrived.order_by("read_at", "pk"))
        if not readings:  # another run was quicker
            return 0
        before = CoolingForecast.objects.filter(unit=unit).values_list("lost_until", flat=True).first()
        tell_of_lost_fuel(_update_forecast(unit, now=now), before, work)
        CoolingReading.objects.filter(pk__in=[row.pk for row in readings]).update(is_learned=True)
        cooling_readings_learned.send(CoolingReading, unit=unit, readings=readings, work=work)
        return 1


def _update_forecast(unit: UUID, *, now: datetime) -> CoolingForecast:
    series = learned_from(unit, now=now)
    columns = {**_newest(series), **_learned(learn(series))}
    row = CoolingForecast(unit_id=unit, readings=len(series), computed_at=now, **columns)
    written = [field.name for field in CoolingForecast._meta.concrete_fields if not field.primary_key]  # noqa: SLF001 - Django's documented model API
    CoolingForecast.objects.bulk_create([row], update_conflicts=True, unique_fields=["unit"], update_fields=written)
    return row


def _newest(series: Sequence[Figures]) -> dict[str, object]:
    air = next((each for each in reversed(series) if each.air_f is not None), None)
    fuel = next((each for each in reversed(series) if each.fuel_gal is not None), None)
    return {
        "newest_at": series[-1].at if series else None,
        "air_f": None if air is None else air.air_f,
        "air_at": None if air is None else air.at,
        "fuel_gal": None if fuel is None else fuel.fuel_gal,
        "fuel_at": None if fuel is None else fuel.at,
    }


def _learned(known: Learned) -> dict[str, object]:
    """The columns, each rounded to the cautious side: more fuel, a slower and warmer pull-down, a smaller drop."""
    columns: dict[str, object] = {}
    if known.burn is not None:
        columns |= {
            "burn_gal_per_h": _rounded(known.burn.gal_per_h, "0.001", ROUND_CEILING),
            "burn_spread": _rounded(known.burn.spread, "0.0001", ROUND_CEILING),
            "burn_h": _rounded(known.burn.hours, "0.1"),
            "burn_stretches": known.burn.stretches,
        }
    if known.lost is not None:
        columns |= {
            "lost_gal": _rounded(known.lost.gallons, "0.1"),
            "lost_gone_gal": _rounded(known.lost.gone, "0.1"),
            "lost_engine_h": _rounded(known.lost.hours, "0.1"),
            "lost_since": known.lost.since,
            "lost_until": known.lost.until,
        }
    if known.pull_down is not None:
        columns |= {
            "pull_down_floor_f": _rounded(known.pull_down.approach.floor_f, "0.01", ROUND_CEILING),
            "pull_down_tau_h": _rounded(known.pull_down.approach.tau_h, "0.001", ROUND_CEILING),
            "pull_downs": known.pull_down.count,
        }
    if known.warm_up is not None:
        trend = known.warm_up.per_month_h
        columns |= {
            "leakage_h": _rounded(known.warm_up.tau_h, "0.01"),
            "leakage_per_month_h": None if trend is None else _rounded(trend, "0.01"),
            "warm_ups": known.warm_up.count,
        }
    if known.air_drop is not None:
        columns |= {
            "air_drop_f": _rounded(known.air_drop.mean, "0.01"),
            "air_drop_least_f": _rounded(known.air_drop.mean - known.air_drop.reach, "0.01", ROUND_FLOOR),
            "air_drops": known.air_drop.count,
        }
    return columns


def _rounded(value: float, to: str, rounding: str = ROUND_HALF_EVEN) -> Decimal:
    """The figure as stored; what only the binary form adds is dropped first."""
    return Decimal(repr(round(value, 9))).quantize(Decimal(to), rounding)
