"""What every signed body of the field shares: the zone of its instants, and the flags of values read otherwise."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from common.api.signed_bodies import Odd
from fleet.models import Site
from fleet.selectors.carrier.carrier import carriers_zone

MOST = 40
"""So many are named one by one; the rest is counted."""


def flags_of(odd: Sequence[Odd]) -> tuple[dict[str, object], ...]:
    """Each with the place in what was sent."""
    named: list[dict[str, object]] = [{"code": str(item.code), "facts": {"field": item.pointer}} for item in odd[:MOST]]
    if len(odd) > MOST:
        named.append({"code": "more_fields_odd", "facts": {"count": len(odd) - MOST}})
    return tuple(named)


def zone_of(site: object = None) -> ZoneInfo:
    """Return the zone of the site that is named, else the carrier's."""
    found = Site.objects.filter(code__iexact=site).first() if isinstance(site, str) and site.isprintable() else None
    return ZoneInfo(carriers_zone() if found is None else found.time_zone)
