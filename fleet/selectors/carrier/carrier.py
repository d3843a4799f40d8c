"""The carrier's day, its sites, and its policies in force."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import QuerySet
from django.db.models.functions import JSONObject

from common.clock import day_in_zone
from common.compiled import INSTANT, CompiledObjects, Parameter
from common.errors import NotFound, or_not_found
from fleet.enums import SiteState
from fleet.models import Carrier, Policy, Site

BEFORE_THE_CARRIER = "UTC"
"""The zone in which days are counted while no carrier is recorded."""


def carriers_day(now: datetime) -> date:
    """Return the calendar day of an instant in the carrier's zone."""
    return day_in_zone(now, carriers_zone())


def carriers_zone() -> str:
    """Return the zone in which the carrier counts its days."""
    return Carrier.objects.values_list("time_zone", flat=True).first() or BEFORE_THE_CARRIER


def site_by_code(code: str) -> Site | None:
    return Site.objects.filter(code=code).first()


def the_carrier() -> Carrier:
    """Return the one carrier; NotFound `carrier_missing` before it is recorded."""
    return or_not_found(Carrier.objects.first(), "carrier_missing")


def site_state(site: Site) -> SiteState:
    """Return `open` or `closed`."""
    return SiteState.OPEN if site.closed_on is None else SiteState.CLOSED


@dataclass(frozen=True)
class EffectivePolicies:
    """The carrier's time zone (an IANA name), the value of every policy in force by its key, and the carrier's name."""

    zone: str
    policies: Mapping[str, object]
    carrier: str = ""


def effective_policies(*, now: datetime) -> EffectivePolicies:
    """What the carrier has decided so far; NotFound `carrier_missing` before the carrier is recorded."""
    for carrier in _compiled().fetch(now=now):
        decided = map(json.loads, carrier.decided)  # type: ignore[attr-defined]  # annotated
        effective = effective_of(carrier.time_zone, decided)
        return replace(effective, carrier=carrier.name)
    raise NotFound("carrier_missing")


@cache
def _compiled() -> CompiledObjects[Carrier]:
    """The statement that nearly every write begins with; there is one carrier at most."""
    newest = newest_policies(Parameter("now", INSTANT))
    return CompiledObjects(Carrier.objects.annotate(decided=ArraySubquery(newest)), also=("decided",))


def newest_policies(now: datetime | Parameter) -> QuerySet[Policy, Any]:
    """The newest row of every key as {key, value}, to be read inside another query."""
    return (
        Policy.objects.filter(valid_from__lte=now)
        .order_by("key", "-valid_from")
        .distinct("key")
        .values(decided=JSONObject(key="key", value="value"))
    )


def effective_of(zone: str, decided: Iterable[Mapping[str, Any]]) -> EffectivePolicies:
    """The decisions that such a query found."""
    return EffectivePolicies(zone, {row["key"]: row["value"] for row in decided})


def zone_of(site: object = None) -> ZoneInfo:
    """Return the zone of the site that is named, else the carrier's."""
    found = Site.objects.filter(code__iexact=site).first() if isinstance(site, str) and site.isprintable() else None
    return ZoneInfo(carriers_zone() if found is None else found.time_zone)
