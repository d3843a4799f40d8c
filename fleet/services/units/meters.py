"""Meter readings from the desk, which refuses what contradicts the series, and meters that were replaced."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from common.clock import refuse_future
from common.errors import Conflict, Invalid
from fleet.enums import MeterKind
from fleet.models import MeterReading, MeterReplacement, Person, Unit
from fleet.rules.units.meters import LIMITS, Reading, ReadingProblem, has_meter, offset_for, reading_problem, true_total
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.selectors.units.meters import MeterBook, meter_book
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


def record_reading(
    *, unit_id: UUID, meter: MeterKind, shown: Decimal, read_at: datetime, actor: Person, now: datetime
) -> MeterReading:
    """Take one reading, as shown on the meter (miles or hours), into its series.

    Invalid `meter_not_on_unit`, `instant_in_future`, `reading_negative`, `reading_falling`, `reading_implausible`
    (with the neighbour's total and instant, and the difference that would be plausible); Conflict `unit_retired`.
    """
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        known = _meter(unit_id, meter, read_at, actor, now)
        refuse_future(read_at, now, "/read_at")
        reading = known.reading(shown, read_at)
        _refuse_contradiction(known, shown, reading, "/shown")
        return record_readings(work, [NewReading(known.unit, meter, shown, reading)])[0]


def replace_meter(
    *,
    unit_id: UUID,
    meter: MeterKind,
    replaced_at: datetime,
    last_shown: Decimal | None,
    first_shown: Decimal,
    reason: str,
    actor: Person,
    now: datetime,
) -> MeterReplacement:
    """Record that a meter was changed: from then on, true total = what the new one shows + the offset found here.

    `last_shown` is the old meter's last reading; None when it could not be read, then its last one on record counts.
    Invalid as in `record_reading`, and `last_reading_missing`; Conflict `meter_read_since`.
    """
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        known = _meter(unit_id, meter, replaced_at, actor, now)
        refuse_future(replaced_at, now, "/replaced_at")
        last = _last_reading(known, last_shown, replaced_at)
        replacement = MeterReplacement.objects.create(
            unit=known.unit,
            meter=meter,
            offset=offset_for(last.total, first_shown),
            replaced_at=replaced_at,
            reason=reason,
            recorded_at=now,
            recorded_by=actor,
        )
        body = {"offset": replacement.offset, "reason": reason}
        record_readings(work, [NewReading(known.unit, meter, first_shown, last)], "meter_replaced", body)
        return replacement


def _last_reading(meter: "_Meter", shown: Decimal | None, at: datetime) -> Reading:
    """What the old meter stood at when it was taken off."""
    since = next((row for row in meter.series if row.at > at), None)
    if since is not None:
        raise Conflict("meter_read_since", read_at=since.at)
    if shown is not None:
        last = meter.reading(shown, at)
        _refuse_contradiction(meter, shown, last, "/last_shown")
        return last
    if not meter.series:
        raise Invalid("last_reading_missing", pointer="/last_shown")
    return Reading(at, meter.series[-1].total)


@dataclass(frozen=True)
class _Meter:
    """One meter of a locked unit, with what a reading of it is compared with, and who says something about it when."""

    unit: Unit
    kind: MeterKind
    book: MeterBook
    actor: Person
    now: datetime

    @property
    def series(self) -> Sequence[Reading]:
        return self.book.series_of(self.unit.pk, self.kind)

    def reading(self, shown: Decimal, at: datetime) -> Reading:
        return Reading(at, true_total(shown, at, self.book.replacements_of(self.unit.pk, self.kind)))


def _meter(unit_id: UUID, kind: MeterKind, at: datetime, actor: Person, now: datetime) -> _Meter:
    unit = get_unit(unit_id)
    refuse_retired(unit)
    if not has_meter(unit.kind, kind):
        raise Invalid("meter_not_on_unit", pointer="/meter", unit=str(unit))
    return _Meter(unit, kind, meter_book([unit_id], at), actor, now)


def _refuse_contradiction(meter: _Meter, shown: Decimal, reading: Reading, pointer: str) -> None:
    problem = reading_problem(shown, reading, meter.series, LIMITS[meter.kind], meter.now)
    if problem is not None:
        raise reading_refusal(problem, pointer)


def reading_refusal(problem: ReadingProblem, pointer: str) -> Invalid:
    """Return the refusal of a reading, with the neighbour that it contradicts and what would have been plausible."""
    facts: dict[str, Any] = {}
    if problem.against is not None:
        facts = {"other_total": problem.against.total, "other_read_at": problem.against.at}
    if problem.allowed is not None:
        facts["allowed"] = problem.allowed.quantize(Decimal("0.1"))
    return Invalid(f"reading_{problem.code}", pointer=pointer, **facts)


@dataclass(frozen=True, slots=True)
class NewReading:
    """What a meter of a locked unit showed (miles or hours), and its place in the series, which it fits."""

    unit: Unit
    meter: str
    shown: Decimal
    place: Reading


def record_readings(
    work: UnitOfWork, new: Sequence[NewReading], event: str = "meter_read", body: Mapping[str, object] = {}
) -> list[MeterReading]:
    """Insert readings; `body` is what the event says beside them."""
    readings = MeterReading.objects.bulk_create(
        MeterReading(
            unit=each.unit,
            meter=each.meter,
            shown=each.shown,
            total=each.place.total,
            read_at=each.place.at,
            recorded_at=work.now,
            recorded_by=work.actor,
        )
        for each in new
    )
    for reading in readings:
        work.record(
            reading.unit_id,
            event,
            subject=reading.pk,
            performed_at=reading.read_at,
            body={"meter": reading.meter, "shown": reading.shown, "total": reading.total, **body},
        )
    return readings
