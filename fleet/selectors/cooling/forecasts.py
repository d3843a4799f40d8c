"""What was learned of a cooling unit, as the rules take it."""

from fleet.models import CoolingForecast
from fleet.rules.cooling.fuel import Burn, Lost


def burn_of_forecast(row: CoolingForecast) -> Burn | None:
    """The burn, or None with too few readings."""
    if row.burn_gal_per_h is None or row.burn_spread is None or row.burn_h is None:
        return None
    return Burn(float(row.burn_gal_per_h), float(row.burn_spread), float(row.burn_h), row.burn_stretches)


def lost_of_forecast(row: CoolingForecast) -> Lost | None:
    """The newest fuel that hours do not explain, or None; a release before learned less of it, which is not told."""
    lost, gone, hours = row.lost_gal, row.lost_gone_gal, row.lost_engine_h
    if lost is None or gone is None or hours is None or row.lost_since is None or row.lost_until is None:
        return None
    return Lost(row.lost_since, row.lost_until, float(lost), float(gone), float(hours))
