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
from fleet.models import MeterReading
from fleet.rules.units.meters import LIMITS, Reading, has_meter, reading_problem, true_total
from fleet.selectors.units.meters import MeterName, meter_book
from fleet.services.imports.plan import ColumnProblem, ImportRow, Plan, Refused, RowReport, batches
from fleet.services.imports.references import UnitsNamed
from fleet.services.units.meters import NewReading, reading_refusal, record_readings


@dataclass(frozen=True, slots=True)
class _Shown:
    """A reading on record: what the meter showed, and its key."""

    shown: Decimal
    key: UUID


class ReadingPlan(Plan):
    """Which readings a table adds. They are judged in the order they were read in, whatever that of the rows."""

    def in_order(self, rows: Sequence[ImportRow]) -> Sequence[ImportRow]:
        return sorted(rows, key=lambda row: (_instant(row) or self.context.now, row.number))

    def write(self) -> None:
        """Add the readings with the units' histories."""
        for rows in batches(self._new):
            record_readings(self._units.work, rows)
            self._units.work.write()

    def read(self, rows: Sequence[ImportRow]) -> None:
        """All that was read between the first of the rows and the last, and beyond them."""
        self._units = UnitsNamed(rows, self.context)
        self._new: list[NewReading] = []
        self._on_record: dict[tuple[MeterName, datetime], _Shown] = {}
        self._series: defaultdict[MeterName, list[Reading]] = defaultdict(list)
        instants = sorted(instant for row in rows if (instant := _instant(row)))
        keys = [unit.pk for unit in self._units.all]
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

    def judge(self, row: ImportRow) -> RowReport:
        """A reading is added, or on record already."""
        unit = self._units.in_service(row)
        meter, at = str(row.values["meter"]), _instant(row)
        shown = row.values["shown"]
        if at is None or not isinstance(shown, Decimal):
            raise TypeError(row.number)
        if not has_meter(unit.kind, meter):
            raise Refused(ColumnProblem("meter", "meter_not_on_unit", {"unit": str(unit)}))
        if at > self.context.now:
            raise Refused(ColumnProblem("read_at", "instant_in_future"))
        name = (unit.pk, meter)
        self.named.add((name, at), row.number)
        called = f"{unit}: {meter}"
        known = self._on_record.get((name, at))
        if known is not None and known.shown == shown:
            return RowReport(row.number, RowOutcome.UNCHANGED, called, known.key)
        if known is not None:
            raise Refused(ColumnProblem("shown", "reading_on_record", {"shown": known.shown}))
        reading = Reading(at, true_total(shown, at, self._book.replacements_of(*name)))
        self._take(name, shown, reading)
        self._new.append(NewReading(unit, meter, shown, reading))
        return RowReport(row.number, RowOutcome.CREATED, called)

    def _take(self, name: MeterName, shown: Decimal, reading: Reading) -> None:
        """Into the series, so that the next row is compared with it too; Refused."""
        series = self._series[name]
        place = bisect_right(series, reading.at, key=attrgetter("at"))
        neighbours = series[max(0, place - 1) : place + 1]
        problem = reading_problem(shown, reading, neighbours, LIMITS[name[1]], self.context.now)
        if problem is not None:
            raise reading_refusal(problem, "/shown")
        insort(series, reading, key=_order)


def _instant(row: ImportRow) -> datetime | None:
    value = row.values.get("read_at")
    return value if isinstance(value, datetime) else None


def _order(reading: Reading) -> tuple[datetime, Decimal]:
    return reading.at, reading.total
