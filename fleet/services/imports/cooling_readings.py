"""Cooling readings out of a recorder's table: one is named by unit and instant. One on record is never changed."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from fleet.enums import ReadingSource, RowOutcome, TemperatureScale, UnitKind
from fleet.models import CoolingReading
from fleet.rules.cooling.readings import Figures
from fleet.rules.cooling.temperatures import figures_in
from fleet.selectors.cooling.series import figures_of
from fleet.services.cooling.intake import problems_of
from fleet.services.cooling.readings import reading_row, store_readings
from fleet.services.imports.plan import ColumnProblem, ImportRow, Plan, Refused, RowReport
from fleet.services.imports.references import UnitsNamed


class CoolingReadingPlan(Plan):
    """Which readings a table adds. What cannot be is kept and flagged, as a recorder's are."""

    def write(self) -> None:
        """Add the readings with the units' histories; a job learns from them."""
        work = self._units.work
        store_readings(work, [reading_row(unit, each, ReadingSource.RECORDER, work) for unit, each in self._new])
        work.write()

    def read(self, rows: Sequence[ImportRow]) -> None:
        """The recorder's readings of these units over the time of the rows."""
        self._units = UnitsNamed(rows, self.context)
        self._new: list[tuple[UUID, Figures]] = []
        self._on_record: defaultdict[UUID, dict[datetime, CoolingReading]] = defaultdict(dict)
        instants = [at for row in rows if isinstance(at := row.values.get("read_at"), datetime)]
        if not instants:
            return
        stored = CoolingReading.objects.filter(
            unit__in=self._units.all,
            source=ReadingSource.RECORDER,
            read_at__gte=min(instants),
            read_at__lte=max(instants),
        )
        for reading in stored.order_by().iterator():
            self._on_record[reading.unit_id][reading.read_at] = reading

    def judge(self, row: ImportRow) -> RowReport:
        """A reading is added, flagged where it is odd, or on record already."""
        unit = self._units.in_service(row)
        if unit.kind != UnitKind.COOLING_UNIT:
            raise Refused(ColumnProblem("unit", "not_a_cooling_unit", {"unit": str(unit)}))
        figures = _figures(row)
        self.named.add((unit.pk, figures.at), row.number)
        called = f"{unit}: {figures.at.isoformat()}"
        known = self._on_record[unit.pk].get(figures.at)
        if known is not None and figures_of(known).says_the_same_as(figures):
            return RowReport(row.number, RowOutcome.UNCHANGED, called, known.pk)
        if known is not None:
            raise Refused(ColumnProblem("read_at", "cooling_reading_on_record"))
        self._new.append((unit.pk, figures))
        found = problems_of(figures, self.context.now)
        odd = tuple(ColumnProblem(problem.pointer.strip("/"), problem.code, problem.facts) for problem in found)
        return RowReport(row.number, RowOutcome.FLAGGED if odd else RowOutcome.CREATED, called, problems=odd)


def _figures(row: ImportRow) -> Figures:
    given = {name: value for name, value in row.values.items() if name not in {"unit", "unit_of_measure"}}
    alarms = tuple(str(given.pop("alarms", "")).split())
    numbers = {name: value for name, value in given.items() if isinstance(value, Decimal)}
    rest = {name: value for name, value in given.items() if name not in numbers}
    scale = TemperatureScale(str(row.values["unit_of_measure"]))
    return figures_in(scale, numbers, alarms=alarms, **rest)
