"""What is learned of a cooling unit, in one row for each, written anew whenever readings of it arrive."""

from collections.abc import Sequence
from datetime import datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from uuid import UUID

from fleet.models import CoolingForecast
from fleet.rules.cooling.learned import Learned, learn
from fleet.rules.cooling.readings import Figures
from fleet.selectors.cooling.series import learned_from


def update_forecast(unit: UUID, *, now: datetime) -> None:
    """Learn from all readings of a locked unit, and store it; statements: one read, one write."""
    series = learned_from(unit, now=now)
    columns = {**_newest(series), **_learned(learn(series))}
    row = CoolingForecast(unit_id=unit, readings=len(series), computed_at=now, **columns)
    written = [field.name for field in CoolingForecast._meta.concrete_fields if not field.primary_key]  # noqa: SLF001 - Django's documented model API
    CoolingForecast.objects.bulk_create([row], update_conflicts=True, unique_fields=["unit"], update_fields=written)


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
