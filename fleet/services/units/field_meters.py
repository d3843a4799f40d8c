"""Meter readings out of a signed walk-around: never refused; what contradicts the series is set aside."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from fleet.enums import MeterKind, ReadingState
from fleet.models import MeterReading, Person, Unit
from fleet.rules.units.meters import LIMITS, Reading, has_meter, reading_problem, true_total
from fleet.selectors.units.meters import MeterBook

NEGATIVE = "negative"

_METERS = frozenset(MeterKind)


@dataclass(frozen=True)
class ShownMeter:
    """What a driver read: the unit, which of its meters (a `MeterKind` value or what came instead), what it showed."""

    unit: Unit
    meter: str
    shown: Decimal


def judge_meters(
    given: Sequence[ShownMeter],
    book: MeterBook,
    *,
    read_at: datetime,
    walkaround_id: UUID,
    actor: Person,
    now: datetime,
) -> list[tuple[MeterReading | None, str]]:
    """For each reading the unsaved row to keep it in, and why it is flagged; empty when it enters the series.

    No statement, no refusal. A negative reading, or one of a meter that no `MeterKind` names, is no row: it is on the
    report alone.

    `book` is `meter_book` of the units at `read_at`, read under their locks. Query codes: those of
    `fleet.rules.units.meters.ReadingProblem`, `meter_not_on_unit`, and `read_twice` for a second reading of one meter.
    """
    seen: set[tuple[UUID, str]] = set()
    judged = []
    for item in given:
        name = (item.unit.pk, item.meter)
        total = true_total(item.shown, read_at, book.replacements_of(*name))
        flag = "read_twice" if name in seen else _flag(item, total, book, read_at, now)
        seen.add(name)
        row = None
        if item.shown >= 0 and item.meter in _METERS:
            row = MeterReading(
                unit=item.unit,
                meter=item.meter,
                shown=item.shown,
                total=total,
                read_at=read_at,
                state=ReadingState.SET_ASIDE if flag else ReadingState.ACCEPTED,
                flag=flag,
                walkaround_id=walkaround_id,
                recorded_at=now,
                recorded_by=actor,
            )
        judged.append((row, flag))
    return judged


def _flag(item: ShownMeter, total: Decimal, book: MeterBook, read_at: datetime, now: datetime) -> str:
    if not has_meter(item.unit.kind, item.meter):
        return NEGATIVE if item.shown < 0 else "meter_not_on_unit"
    series = book.series_of(item.unit.pk, item.meter)
    problem = reading_problem(item.shown, Reading(read_at, total), series, LIMITS[item.meter], now)
    return problem.code if problem is not None else ""
