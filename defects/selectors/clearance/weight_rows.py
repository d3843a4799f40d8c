"""The newest scale ticket of each load aboard, as a row of facts with the axles that it names, and what it says."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from itertools import accumulate
from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Case, Exists, Func, JSONField, OuterRef, Q, Subquery, When
from django.db.models.functions import JSONObject

from common.compiled import KeyIn, Parameter
from defects.models import Load, ScaleTicket
from defects.rules.clearance.snapshot import WeighedFact
from defects.rules.weights import AxleGroup, AxlePlace, AxleRecord, Tandem, UnitAxles, WeightUnknown, lay_out
from defects.selectors.clearance.fact_row import Rows, as_rows
from defects.selectors.loads.loads import ON_BOARD
from fleet.models import Axle, Unit


def tickets(units: Parameter) -> Rows:
    """The newest ticket without a flag by each tractor of each load in the units' trailers, weighed since its loading.

    One that is flagged where that tractor has no other; `doubted` says that a flagged one came after it.
    """
    aboard = Load.objects.filter(ON_BOARD, KeyIn("trailer_id", units)).order_by().values("pk")
    of_load = ScaleTicket.objects.filter(
        load=OuterRef("load_id"), tractor=OuterRef("tractor_id"), weighed_at__gte=OuterRef("load__loaded_at")
    )
    best = of_load.order_by(Case(When(flags=[], then=0), default=1), "-weighed_at", "-recorded_at", "-pk")
    after = Q(weighed_at__gt=OuterRef("weighed_at")) | Q(weighed_at=OuterRef("weighed_at"), pk__gt=OuterRef("pk"))
    flagged_since = ScaleTicket.objects.filter(after, load=OuterRef("load_id")).exclude(flags=[])
    return as_rows(
        ScaleTicket.objects.filter(load__in=aboard, pk=Subquery(best.values("pk")[:1])).order_by(),
        "ticket",
        "load_id",
        at="weighed_at",
        groups="groups",
        flags="flags",
        doubted=Exists(flagged_since),
        tractor="tractor_id",
        trailer="trailer_id",
        tractor_axles=_axles("tractor_id"),
        trailer_axles=_axles("trailer_id"),
        fifth_wheel="tractor__tractor__fifth_wheel_to_rear_axle_in",
        kingpin="trailer__trailer__kingpin_to_rear_axle_in",
        hole="trailer__trailer__slider_hole_in",
    )


def weighed_of(rows: Iterable[Mapping[str, Any]], units: Iterable[Unit]) -> WeighedFact | None:
    """What the tickets of a load say of these units; of a newer one by another tractor the trailer's own axles alone.

    What a trailer's axles carry hangs on no tractor; all else is known of the tractor that was weighed.
    """
    named = {str(unit.pk): str(unit) for unit in units}
    weighed: dict[bool, WeighedFact] = {}
    for row in sorted(rows, key=lambda row: datetime.fromisoformat(row["at"])):
        weighed[row["tractor"] in named] = _weighed(row, named)
    own, others = weighed.get(True), weighed.get(False)
    if own is None or others is None or others.at <= own.at:
        return own or others
    return replace(own, newer=others)


def _weighed(row: Mapping[str, Any], named: Mapping[str, str]) -> WeighedFact:
    at = datetime.fromisoformat(row["at"])
    if row["flags"]:
        return WeighedFact(at, unusable=WeightUnknown.TICKET_FLAGGED)
    tractor = UnitAxles(named.get(row["tractor"], ""), _records(row["tractor_axles"]), row["fifth_wheel"])
    trailer = UnitAxles(named[row["trailer"]], _records(row["trailer_axles"]), row["kingpin"])
    groups = _groups(row["groups"], lay_out(tractor, trailer))
    if row["tractor"] not in named:
        of_trailer = tuple(group for group in groups if {axle.unit for axle in group.axles} == {trailer.unit})
        return WeighedFact(at, of_trailer, unusable=WeightUnknown.OTHER_TRACTOR)
    doubt = WeightUnknown.TICKET_FLAGGED if row["doubted"] else None
    return WeighedFact(at, groups, _tandem(row, groups[-1], len(trailer.axles)), doubt)


def _groups(weighed: Sequence[Mapping[str, int]], axles: Sequence[AxlePlace]) -> tuple[AxleGroup, ...]:
    """The weighed groups with their axles; nothing is known of axles that are not recorded as they were weighed."""
    counts = [group["axles"] for group in weighed]
    if sum(counts) != len(axles):
        axles = [AxlePlace("", number, frame=number) for number in range(1, sum(counts) + 1)]
    ends = list(accumulate(counts))
    return tuple(
        AxleGroup(tuple(axles[end - count : end]), Fraction(group["lb"]))
        for group, count, end in zip(weighed, counts, ends, strict=True)
    )


def _tandem(row: Mapping[str, Any], last: AxleGroup, axles: int) -> Tandem | None:
    """The trailer's tandem, where steer, drive and trailer axles were weighed apart, and its distances are recorded."""
    span, kingpin, hole = last.span_in, row["kingpin"], row["hole"]
    if not span or kingpin is None or not hole or len(last.axles) != axles or len(row["groups"]) != 3:  # noqa: PLR2004
        return None
    return Tandem(kingpin, span, hole)


def _records(rows: Sequence[Mapping[str, Any]]) -> tuple[AxleRecord, ...]:
    return tuple(
        AxleRecord(row["number"], row["spacing_in"], 4 if row["dual"] else 2, row["tire_rating_lb"]) for row in rows
    )


def _axles(unit: str) -> Func:
    """The axles of a ticket's unit, from the front."""
    axles = Axle.objects.filter(unit=OuterRef(unit)).order_by("number")
    each = JSONObject(number="number", spacing_in="spacing_in", dual="dual", tire_rating_lb="tire_rating_lb")
    return Func(ArraySubquery(axles.values(each=each)), function="to_jsonb", output_field=JSONField())
