"""What was learned of a cooling unit, as the rules take it."""

from fleet.models import CoolingForecast
from fleet.rules.cooling.fuel import Burn


def burn_of_forecast(row: CoolingForecast) -> Burn | None:
    """The burn, or None with too few readings."""
    if row.burn_gal_per_h is None or row.burn_spread is None or row.burn_h is None:
        return None
    return Burn(float(row.burn_gal_per_h), float(row.burn_spread), float(row.burn_h), row.burn_stretches)
