"""What keeps a new load out of a trailer: a fault that bars it, food at risk, no cooling unit. Never movement."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from defects.models import Load
from defects.selectors.defects.naming import faults_named, numbers
from defects.selectors.loads.loads import bars_of, freight_bars, is_cold
from fleet.selectors.units.combinations import Combination


def refuse_barred_loading(load: Load, trailer: UUID, combination: Combination, *, loaded_at: datetime) -> None:
    """Refuse what was not to be loaded at that instant; the trailer and what is mounted on it are locked.

    Conflict `no_cooling_unit`; `cold_loading_barred`, or `food_loading_barred` for dry food (fact `defects`, their
    numbers); `food_not_disposed` (fact `loads_at_risk`, their keys).
    """
    mounted = [cooling_unit for carrier, cooling_unit in combination.mounted if carrier == trailer]
    if is_cold(load) and not mounted:
        raise Conflict("no_cooling_unit")
    if not bars_of(load):
        return
    bars = freight_bars(load, trailer, mounted, loaded_at=loaded_at)
    if bars.defects:
        raise Conflict(
            "cold_loading_barred" if is_cold(load) else "food_loading_barred",
            defects=numbers(bars.defects),
            faults=faults_named(bars.defects),
        )
    if bars.loads_at_risk:
        raise Conflict("food_not_disposed", loads_at_risk=[str(key) for key in bars.loads_at_risk])
