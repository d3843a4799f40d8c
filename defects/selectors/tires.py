"""The treads of units' tires as they were measured, with the odometer, and what becomes of them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from defects.models import Measurement
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.tires import TREAD_POINTS, Total, Tread, Wear, WearUnknown, limit_of, wear_of
from fleet.enums import MeterKind, ReadingState
from fleet.models import MeterReading

Spot = tuple[UUID, str, str]
"""Unit, point and place."""
NEWEST = 120
"""So many odometer readings of a unit are read: our own figure, at one a day four months."""


@dataclass(frozen=True)
class TireWear:
    """The newest tread at one place, and how it wears."""

    last: Measurement
    wear: Wear | WearUnknown


def tire_wear(units: Iterable[UUID], catalogue: Catalogue, *, place: str | None = None) -> Mapping[Spot, TireWear]:
    """How the tires of these units wear, at one place or at all, in two statements."""
    keys = list(units)
    measured = Measurement.objects.filter(unit_id__in=keys, point__in=TREAD_POINTS)
    if place is not None:
        measured = measured.filter(place=place)
    series: defaultdict[Spot, list[Measurement]] = defaultdict(list)
    for row in measured.order_by("measured_at", "pk"):
        series[row.unit_id, row.point, row.place].append(row)
    totals = _totals({unit for unit, _, _ in series})
    return {
        spot: TireWear(rows[-1], _wear(spot, rows, totals.get(spot[0], []), catalogue)) for spot, rows in series.items()
    }


def _wear(spot: Spot, rows: list[Measurement], totals: list[Total], catalogue: Catalogue) -> Wear | WearUnknown:
    point = catalogue.get(spot[1])
    limit = None if point is None else limit_of(point)
    if limit is None:
        return WearUnknown.NOT_ENOUGH_READINGS
    return wear_of([Tread(row.measured_at, float(row.value)) for row in rows], totals, limit)


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
