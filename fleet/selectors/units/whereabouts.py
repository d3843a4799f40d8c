"""Which word on a unit's whereabouts is the newest, and which units are somewhere by it."""

from collections.abc import Mapping
from datetime import datetime, tzinfo
from typing import Any

from django.db.models import Exists, JSONField, OuterRef, Q, Subquery
from django.db.models.functions import JSONObject

from common.messages import Message
from fleet.enums import Location, UnitKind
from fleet.models import Whereabouts

HOW = ("legs_down", "doors_closed", "mode", "fuel_gal", "seal", "note")
FACTS = {name: name for name in ("location", "address", "since", *HOW)} | {"site": "site__code"}
YES_OR_NO = {
    "legs_down": {True: "left_legs_down", False: "left_legs_up"},
    "doors_closed": {True: "left_doors_closed", False: "left_doors_open"},
}

NOTHING_SAID = Q(
    Q(location=Location.SITE) | Q(unit__kind=UnitKind.COOLING_UNIT),
    legs_down__isnull=True,
    doors_closed__isnull=True,
    mode="",
    fuel_gal__isnull=True,
    seal="",
    note="",
)
"""At a site of ours, or a cooling unit wherever its trailer is, and nobody said how it was left there."""

_NEWER = Whereabouts.objects.filter(
    Q(since__gt=OuterRef("since")) | Q(since=OuterRef("since"), pk__gt=OuterRef("pk")), unit=OuterRef("unit")
)
NEWEST = Q(~Exists(_NEWER))
"""Of each unit's whereabouts the newest."""


def is_at(**where: Any) -> Q:
    """Units whose newest whereabouts match."""
    return Q(Exists(Whereabouts.objects.filter(NEWEST, unit=OuterRef("pk"), **where)))


def left_here() -> Subquery:
    """How a unit of an outer query was left where it is now, as JSON; null where nobody said where it is."""
    newest = Whereabouts.objects.filter(unit=OuterRef("pk")).order_by("-since", "-pk")
    return Subquery(newest.values(left=JSONObject(**FACTS))[:1], output_field=JSONField())


def left_messages(unit: str, left: Mapping[str, Any], zone: tzinfo) -> list[Message]:
    """What is read to the next driver of how a unit was left, by the facts of `left_here`; empty for one under way."""
    if left["location"] == Location.UNDER_WAY:
        return []
    where = ", ".join(filter(None, (left["site"], left["address"])))
    at = datetime.fromisoformat(left["since"]).astimezone(zone)
    facts = {"unit": unit, "location": left["location"], "at": at}
    said = [Message("left_at", {**facts, "where": where}) if where else Message("left_at_no_address", facts)]
    said += [Message(code) for name, codes in YES_OR_NO.items() if (code := codes.get(left[name])) is not None]
    single = (("mode", "left_mode"), ("fuel_gal", "left_fuel"), ("seal", "left_seal"), ("note", "left_note"))
    return said + [Message(code, {name: left[name]}) for name, code in single if left[name] not in {None, ""}]
