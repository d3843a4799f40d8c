"""The treads of units' tires as they were measured, with the odometer, and what becomes of them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from defects.models import Measurement, TireMounting
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.tires import (
    TREAD_POINTS,
    Stand,
    Total,
    Tread,
    Wear,
    WearUnknown,
    casing_miles,
    limit_of,
    miles_at,
    wear_of,
)
from fleet.enums import MeterKind, ReadingState
from fleet.models import MeterReading

Spot = tuple[UUID, str, str]
"""Unit, point and place."""
NEWEST = 120
"""So many odometer readings of a unit are read: our own figure, at one a day four months."""


@dataclass(frozen=True)
class TireWear:
    """The newest tread at one place, how it wears, and the casing there; empty where none is on record."""

    last: Measurement
    wear: Wear | WearUnknown
    casing: str


def tire_wear(units: Iterable[UUID], catalogue: Catalogue, *, place: str | None = None) -> Mapping[Spot, TireWear]:
    """How the tires of these units wear, at one place or at all, in three statements.

    Where a casing is on record, its treads count from every place where it stood; where none is, those at the place
    since the last one that was.
    """
    keys = list(units)
    stood = _mountings(keys, place)
    present = {(row.unit_id, row.place): row.casing for row in stood if row.removed_at is None}
    measured = Measurement.objects.filter(
        unit_id__in={*keys, *(row.unit_id for row in stood)}, point__in=TREAD_POINTS
    ).order_by("measured_at", "pk")
    at_spot: defaultdict[Spot, list[Measurement]] = defaultdict(list)
    for row in measured:
        at_spot[row.unit_id, row.point, row.place].append(row)
    totals = _totals({unit for unit, _, _ in at_spot})
    found = {}
    for spot, rows in at_spot.items():
        unit, point, where = spot
        if unit not in keys or place not in {None, where}:
            continue
        casing = present.get((unit, where), "")
        own = [row for row in stood if row.casing == casing] if casing else _until_now(stood, unit, where)
        treads = _treads(rows, own, at_spot, totals) if own else _untouched(rows, totals.get(unit, []))
        limit = limit_of(catalogue.points[point]) if point in catalogue.points else None
        known = WearUnknown.NOT_ENOUGH_READINGS if limit is None else wear_of(treads, totals.get(unit, []), limit)
        found[spot] = TireWear(rows[-1], known, casing)
    return found


def _untouched(rows: Sequence[Measurement], totals: Sequence[Total]) -> list[Tread]:
    return [Tread(row.measured_at, float(row.value), miles_at(totals, row.measured_at)) for row in rows]


def _treads(
    rows: Sequence[Measurement],
    own: Sequence[TireMounting],
    at_spot: Mapping[Spot, Sequence[Measurement]],
    totals: Mapping[UUID, Sequence[Total]],
) -> list[Tread]:
    """The treads of a casing at all its places, or of an unrecorded one since the last that was taken off."""
    if own[-1].removed_at is not None:
        since = own[-1].removed_at
        return _untouched([row for row in rows if row.measured_at > since], totals.get(rows[-1].unit_id, []))
    stands = [Stand(totals.get(row.unit_id, []), row.mounted_at, row.removed_at) for row in own]
    of_casing = [
        row
        for stand in own
        for (unit, _, where), measured in at_spot.items()
        if (unit, where) == (stand.unit_id, stand.place)
        for row in measured
        if stand.mounted_at <= row.measured_at and (stand.removed_at is None or row.measured_at <= stand.removed_at)
    ]
    return [Tread(row.measured_at, float(row.value), casing_miles(stands, row.measured_at)) for row in of_casing]


def _until_now(stood: Sequence[TireMounting], unit: UUID, place: str) -> list[TireMounting]:
    """The last casing that was taken off a place, if any."""
    gone = [row for row in stood if (row.unit_id, row.place) == (unit, place) and row.removed_at is not None]
    return gone[-1:]


def _mountings(units: Sequence[UUID], place: str | None) -> list[TireMounting]:
    """Every stand of the casings that stand or stood on these units, oldest first."""
    here = TireMounting.objects.filter(unit_id__in=units)
    if place is not None:
        here = here.filter(place=place)
    return list(TireMounting.objects.filter(casing__in=here.values("casing")).order_by("mounted_at", "pk"))


def _totals(units: set[UUID]) -> Mapping[UUID, list[Total]]:
    """The newest readings of the units' odometers that are not set aside, oldest first."""
    found: defaultdict[UUID, list[Total]] = defaultdict(list)
    if not units:
        return found
    rows = MeterReading.objects.filter(
        unit_id__in=units, meter=MeterKind.ODOMETER_MI, state=ReadingState.ACCEPTED
    ).order_by("unit_id", "-read_at", "-total")
    for unit, at, total in rows.values_list("unit_id", "read_at", "total"):
        if len(found[unit]) < NEWEST:
            found[unit].append(Total(at, float(total)))
    return {unit: totals[::-1] for unit, totals in found.items()}
