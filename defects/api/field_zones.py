"""In which zone an instant without an offset was meant, on what was signed in the field."""

from zoneinfo import ZoneInfo

from fleet.models import Site
from fleet.selectors.carrier.carrier import carriers_zone


def zone_of(site: object = None) -> ZoneInfo:
    """Return the zone of the site that is named, else the carrier's."""
    found = Site.objects.filter(code__iexact=site).first() if isinstance(site, str) and site.isprintable() else None
    return ZoneInfo(carriers_zone() if found is None else found.time_zone)
