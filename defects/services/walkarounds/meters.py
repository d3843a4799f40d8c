"""The meters read on a walk-around: stored with their unit, or queried and set aside; never refused."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from defects.models import Walkaround
from defects.services.walkarounds.rows import Queried
from fleet.models import MeterReading, Unit
from fleet.selectors.meters import meter_book
from fleet.services.field_meters import ShownMeter, judge_meters

LARGEST = Decimal(10) ** 10
"""What no meter of a vehicle shows, and the column cannot hold."""


@dataclass(frozen=True, slots=True)
class ShownReading:
    """One meter as shown, in miles or hours, with the positions of its report and of itself in it."""

    report: int
    index: int
    unit: Unit
    meter: str
    shown: str


def store_meters(walkaround: Walkaround, shown: Sequence[ShownReading]) -> dict[int, list[Queried]]:
    """Store the readings in one statement; what is queried about them, by the position of the report."""
    queried: dict[int, list[Queried]] = defaultdict(list)
    readable: list[tuple[ShownReading, ShownMeter]] = []
    for reading in shown:
        number = _number(reading.shown)
        if number is None:
            queried[reading.report].append(_query(reading, "value_unreadable"))
        else:
            readable.append((reading, ShownMeter(reading.unit, reading.meter, number)))
    if not readable:
        return queried
    judged = judge_meters(
        [meter for _, meter in readable],
        meter_book({reading.unit.pk for reading, _ in readable}, walkaround.performed_at),
        read_at=walkaround.performed_at,
        walkaround_id=walkaround.pk,
        actor=walkaround.person,
        now=walkaround.received_at,
    )
    for (reading, _), result in zip(readable, judged, strict=True):
        if result.query:
            queried[reading.report].append(_query(reading, result.query))
    MeterReading.objects.bulk_create([result.row for result in judged if result.row is not None])
    return queried


def _query(reading: ShownReading, code: str) -> Queried:
    return {"code": code, "facts": {"meter": reading.meter, "shown": reading.shown}, "meter": reading.index}


def _number(text: str) -> Decimal | None:
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    return number.quantize(Decimal("0.1")) if number.is_finite() and abs(number) < LARGEST else None
