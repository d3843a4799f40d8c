"""The carrier's own day, and its sites by their codes."""

from datetime import date, datetime

from common.clock import day_in_zone
from common.errors import NotFound
from fleet.enums import SiteState
from fleet.models import Carrier, Site

BEFORE_THE_CARRIER = "UTC"
"""The zone in which days are counted while no carrier is recorded."""


def carriers_day(now: datetime) -> date:
    """Return the calendar day of an instant in the carrier's zone."""
    return day_in_zone(now, carriers_zone())


def carriers_zone() -> str:
    """Return the zone in which the carrier counts its days."""
    return Carrier.objects.values_list("time_zone", flat=True).first() or BEFORE_THE_CARRIER


def site_by_code(code: str) -> Site | None:
    """Return the site of that code; None when there is none."""
    return Site.objects.filter(code=code).first()


def the_carrier() -> Carrier:
    """Return the one carrier; NotFound `carrier_missing` before it is recorded."""
    carrier = Carrier.objects.first()
    if carrier is None:
        raise NotFound("carrier_missing")
    return carrier


def site_state(site: Site) -> SiteState:
    """Return `open` or `closed`."""
    return SiteState.OPEN if site.closed_on is None else SiteState.CLOSED
