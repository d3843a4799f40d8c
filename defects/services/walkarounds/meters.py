"""The meters read on a walk-around: stored with their unit, or flagged and set aside; never refused."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from defects.models import Report, Walkaround
from defects.rules.walkarounds.body import MeterBody, ReportBody, read_number
from defects.services.walkarounds.reports import METER_OF_UNKNOWN, Flagged
from fleet.enums import ReadingState
from fleet.models import MeterReading
from fleet.selectors.units.meters import meter_book
from fleet.services.units.field_meters import JudgedMeter, ShownMeter, judge_meters

LARGEST = Decimal(10) ** 7
"""Our own default: ten million miles or hours are on no meter of a vehicle."""

TIME_UNKNOWN = "time_unknown"


_Shown = tuple[Report, int, MeterBody]
"""One meter as shown, with its report and its position in it."""


def store_meters(
    walkaround: Walkaround, given: Iterable[tuple[Report, ReportBody]], *, time_known: bool
) -> dict[int, list[Flagged]]:
    """Store the readings in one statement; what is flagged about them, by the position of the report.

    A reading of no known unit, or that is no number, stands in what is flagged alone. While it is not known when they
    were read, all are set aside.
    """
    queried: dict[int, list[Flagged]] = defaultdict(list)
    readable: list[tuple[_Shown, ShownMeter]] = []
    shown = [(report, index, meter) for report, body in given for index, meter in enumerate(body.meters)]
    for reading in shown:
        report, _, meter = reading
        number = read_number(meter.shown)
        if report.unit is None:
            queried[report.position].append(_query(reading, METER_OF_UNKNOWN))
        elif number is None:
            queried[report.position].append(_query(reading, "value_unreadable"))
        elif number >= LARGEST:
            queried[report.position].append(_query(reading, "implausible"))
        else:
            tenths = number.quantize(Decimal("0.1"))
            readable.append((reading, ShownMeter(report.unit, meter.meter, tenths)))
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
            queried[reading[0].position].append(_query(reading, query))
    MeterReading.objects.bulk_create([result.row for result in judged if result.row is not None])
    return queried


def _query(reading: _Shown, code: str) -> Flagged:
    _, index, meter = reading
    return {"code": code, "facts": {"meter": meter.meter, "shown": meter.shown}, "meter": index}


def _set_aside(judged: JudgedMeter) -> str:
    """Keep a reading out of its series because it is not known when it was read; why it is flagged."""
    if judged.row is None or judged.query:
        return judged.query
    judged.row.state, judged.row.query = ReadingState.SET_ASIDE, TIME_UNKNOWN
    return TIME_UNKNOWN
