"""The carrier's zone and the policies in force at an instant, in one statement."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import QuerySet
from django.db.models.functions import JSONObject

from common.compiled import INSTANT, CompiledObjects, Given
from common.errors import NotFound
from fleet.models import Carrier, Policy


@dataclass(frozen=True)
class EffectivePolicies:
    """The carrier's time zone (an IANA name), the value of every policy in force by its key, and the carrier's name."""

    zone: str
    policies: Mapping[str, object]
    carrier: str = ""


def effective_policies(*, now: datetime) -> EffectivePolicies:
    """What the carrier has decided so far; NotFound `carrier_missing` before the carrier is recorded."""
    for carrier in _compiled().fetch(now=now):
        standing = standing_of(carrier.time_zone, carrier.decided)  # type: ignore[attr-defined]  # annotated
        return replace(standing, carrier=carrier.name)
    raise NotFound("carrier_missing")


@cache
def _compiled() -> CompiledObjects[Carrier]:
    """The statement that nearly every write begins with; there is one carrier at most."""
    newest = newest_policies(Given("now", INSTANT))
    return CompiledObjects(Carrier.objects.annotate(decided=ArraySubquery(newest)))


def newest_policies(now: datetime | Given) -> QuerySet[Policy, Any]:
    """The newest row of every key as {key, value}, to be read inside another query."""
    return (
        Policy.objects.filter(valid_from__lte=now)
        .order_by("key", "-valid_from")
        .distinct("key")
        .values(decided=JSONObject(key="key", value="value"))
    )


def standing_of(zone: str, decided: Iterable[Mapping[str, Any]]) -> EffectivePolicies:
    """The decisions that such a query found."""
    return EffectivePolicies(zone, {row["key"]: row["value"] for row in decided})
