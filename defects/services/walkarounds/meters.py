"""The meters read on a walk-around: stored with their unit, or queried and set aside; never refused."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from defects.models import Walkaround
from defects.rules.walkarounds.body import read_number
from defects.services.walkarounds.rows import METER_OF_UNKNOWN, Queried
from fleet.enums import ReadingState
from fleet.models import MeterReading, Unit
from fleet.selectors.units.meters import meter_book
from fleet.services.units.field_meters import JudgedMeter, ShownMeter, judge_meters

LARGEST = Decimal(10) ** 7
"""Our own default: ten million miles or hours are on no meter of a vehicle."""

TIME_UNKNOWN = "time_unknown"


@dataclass(frozen=True, slots=True)
class ShownReading:
    """One meter as shown, in miles or hours, with the positions of its report and of itself in it."""

    report: int
    index: int
    unit: Unit | None
    meter: str
    shown: str


def store_meters(
    walkaround: Walkaround, shown: Sequence[ShownReading], *, time_known: bool
) -> dict[int, list[Queried]]:
    """Store the readings in one statement; what is queried about them, by the position of the report.

    A reading of no known unit, or that is no number, stands in what is queried alone. While it is not known when they
    were read, all are set aside.
    """
    queried: dict[int, list[Queried]] = defaultdict(list)
    readable: list[tuple[ShownReading, ShownMeter]] = []
    for reading in shown:
        number = read_number(reading.shown)
        if reading.unit is None:
            queried[reading.report].append(_query(reading, METER_OF_UNKNOWN))
        elif number is None:
            queried[reading.report].append(_query(reading, "value_unreadable"))
        elif number >= LARGEST:
            queried[reading.report].append(_query(reading, "implausible"))
        else:
            tenths = number.quantize(Decimal("0.1"))
            readable.append((reading, ShownMeter(reading.unit, reading.meter, tenths)))
    if not readable:
        return queried
    judged = judge_meters(
        [meter for _, meter in readable],
        meter_book({meter.unit.pk for _, meter in readable}, walkaround.performed_at),
        read_at=walkaround.performed_at,
        walkaround_id=walkaround.pk,
        actor=walkaround.person,
        now=walkaround.received_at,
    )
    for (reading, _), result in zip(readable, judged, strict=True):
        query = result.query if time_known else _set_aside(result)
        if query:
            queried[reading.report].append(_query(reading, query))
    MeterReading.objects.bulk_create([result.row for result in judged if result.row is not None])
    return queried


def _query(reading: ShownReading, code: str) -> Queried:
    return {"code": code, "facts": {"meter": reading.meter, "shown": reading.shown}, "meter": reading.index}


def _set_aside(judged: JudgedMeter) -> str:
    """Keep a reading out of its series because it is not known when it was read; why it is queried."""
    if judged.row is None or judged.query:
        return judged.query
    judged.row.state, judged.row.query = ReadingState.SET_ASIDE, TIME_UNKNOWN
    return TIME_UNKNOWN
