"""Meter readings out of a table: a reading is named by unit, meter and instant. One on record is never changed."""

from bisect import bisect_right, insort
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from uuid import UUID

from fleet.enums import ReadingState, RowOutcome
from fleet.models import MeterReading, Unit
from fleet.rules.units.meter_kinds import has_meter
from fleet.rules.units.meters import LIMITS, Reading, reading_problem, true_total
from fleet.selectors.units.lookup import resolve_units
from fleet.selectors.units.meters import MeterName, meter_book
from fleet.services.imports.given_rows import (
    ColumnProblem,
    GivenRow,
    Named,
    Refused,
    RowReport,
    Scene,
    batches,
    judged,
    refusal,
)
from fleet.services.records.unit_of_work import begin_work
from fleet.services.units.meters import note_reading, reading_refusal


@dataclass(frozen=True, slots=True)
class _Shown:
    """A reading on record: what the meter showed, and its key."""

    shown: Decimal
    key: UUID


class ReadingPlan:
    """Which readings a table adds. They are judged in the order they were read in, whatever that of the rows."""

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        self._scene = scene
        refs = {str(row.values["unit"]) for row in rows if not row.problems}
        units = {unit.pk for unit in resolve_units(refs).values()}
        self._work = begin_work(units if scene.locking else (), actor=scene.actor, now=scene.now)
        self._units = resolve_units(refs)
        self._named = Named()
        self._new: list[MeterReading] = []
        self._on_record: dict[tuple[MeterName, datetime], _Shown] = {}
        self._series: defaultdict[MeterName, list[Reading]] = defaultdict(list)
        self._read([row for row in rows if not row.problems])
        by_time = sorted(rows, key=lambda row: (_instant(row) or scene.now, row.number))
        self.reports = sorted(judged(by_time, self._judge), key=lambda report: report.row)

    def write(self) -> None:
        """Add the readings with the units' histories."""
        for rows in batches(self._new):
            for row in MeterReading.objects.bulk_create(rows):
                note_reading(self._work, "meter_read", row, {})
            self._work.write()

    def _read(self, rows: Sequence[GivenRow]) -> None:
        """What the rows are compared with: all that was read between the first and the last, and beyond them."""
        instants = sorted(instant for row in rows if (instant := _instant(row)))
        keys = [unit.pk for unit in self._units.values()]
        if not instants or not keys:
            return
        self._book = meter_book(keys, instants[0])
        for book in (self._book, meter_book(keys, instants[-1])):
            for name, readings in book.series.items():
                self._series[name].extend(readings)
        between = MeterReading.objects.filter(unit_id__in=keys, read_at__gte=instants[0], read_at__lte=instants[-1])
        for key, unit, meter, at, shown, total, state in between.order_by("read_at", "pk").values_list(
            "pk", "unit_id", "meter", "read_at", "shown", "total", "state"
        ):
            self._on_record.setdefault(((unit, meter), at), _Shown(shown, key))
            if state == ReadingState.ACCEPTED:
                self._series[unit, meter].append(Reading(at, total))
        for readings in self._series.values():
            readings.sort(key=_order)

    def _judge(self, row: GivenRow) -> RowReport:
        unit = self._unit(str(row.values["unit"]))
        meter, at = str(row.values["meter"]), _instant(row)
        shown = row.values["shown"]
        if at is None or not isinstance(shown, Decimal):
            raise TypeError(row.number)
        if not has_meter(unit.kind, meter):
            raise Refused(ColumnProblem("meter", "meter_not_on_unit", {"unit": str(unit)}))
        if at > self._scene.now:
            raise Refused(ColumnProblem("read_at", "instant_in_future"))
        name = (unit.pk, meter)
        self._named.add((name, at), row.number)
        called = f"{unit}: {meter}"
        known = self._on_record.get((name, at))
        if known is not None and known.shown == shown:
            return RowReport(row.number, RowOutcome.UNCHANGED, called, known.key)
        if known is not None:
            raise Refused(ColumnProblem("shown", "reading_on_record", {"shown": known.shown}))
        reading = Reading(at, true_total(shown, at, self._book.replacements_of(*name)))
        self._take(name, shown, reading)
        new = self._row(unit, meter, shown, reading)
        self._new.append(new)
        return RowReport(row.number, RowOutcome.CREATED, called)

    def _take(self, name: MeterName, shown: Decimal, reading: Reading) -> None:
        """Into the series, so that the next row is compared with it too; Refused."""
        series = self._series[name]
        place = bisect_right(series, reading.at, key=attrgetter("at"))
        neighbours = series[max(0, place - 1) : place + 1]
        problem = reading_problem(shown, reading, neighbours, LIMITS[name[1]], self._scene.now)
        if problem is not None:
            raise refusal(reading_refusal(problem, "/shown"))
        insort(series, reading, key=_order)

    def _row(self, unit: Unit, meter: str, shown: Decimal, reading: Reading) -> MeterReading:
        return MeterReading(
            unit=unit,
            meter=meter,
            shown=shown,
            total=reading.total,
            read_at=reading.at,
            recorded_at=self._scene.now,
            recorded_by=self._scene.actor,
        )

    def _unit(self, ref: str) -> Unit:
        unit = self._units.get(ref)
        if unit is None:
            raise Refused(ColumnProblem("unit", "unit_unknown"))
        if unit.retired_on is not None:
            raise Refused(ColumnProblem("unit", "unit_retired", {"unit": str(unit), "retired_on": unit.retired_on}))
        return unit


def _instant(row: GivenRow) -> datetime | None:
    value = row.values.get("read_at")
    return value if isinstance(value, datetime) else None


def _order(reading: Reading) -> tuple[datetime, Decimal]:
    return reading.at, reading.total
