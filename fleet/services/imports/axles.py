"""Axles out of a table: an axle is named by its unit and number. Those of a unit are taken together or not at all."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from uuid import UUID

from fleet.enums import RowOutcome, UnitState
from fleet.models import Axle
from fleet.rules.units.description import FactProblem
from fleet.services.imports.plan import (
    ColumnProblem,
    ImportContext,
    ImportRow,
    Plan,
    Refused,
    RowReport,
    batches,
    changes_between,
)
from fleet.services.imports.references import UnitsNamed
from fleet.services.units.edits import UnitEdit, edit_units
from fleet.services.units.writers import AXLE_COLUMNS, problems_of
from fleet.transitions import UNIT

AxleFacts = dict[str, object]


class AxlePlan(Plan):
    """What axles each unit has with those of the table; axles that it does not name stay."""

    def __init__(self, rows: Sequence[ImportRow], context: ImportContext) -> None:
        UNIT.resolve("edit", UnitState.IN_SERVICE, context.actor.current_roles)
        # Of rows with problems too: a unit of which one row is refused is left alone.
        self._units = UnitsNamed(rows, context)
        self._before = self._on_record()
        self._after = {unit: {n: dict(axle) for n, axle in axles.items()} for unit, axles in self._before.items()}
        self._rows: defaultdict[UUID, list[int]] = defaultdict(list)
        super().__init__(rows, context)
        refused = self._judge_whole(rows, self.reports)
        self.reports = [
            RowReport(report.row, RowOutcome.REFUSED, problems=refused[report.row]) if report.row in refused else report
            for report in self.reports
        ]
        self._edits = self._to_write({report.row for report in self.reports if report.outcome is RowOutcome.REFUSED})

    def write(self) -> None:
        """Set the axles of each unit anew, with the units' histories."""
        for edits in batches(self._edits):
            edit_units(edits=edits, actor=self.context.actor, now=self.context.now)

    def read(self, rows: Sequence[ImportRow]) -> None:
        """Everything was read before."""

    def _on_record(self) -> dict[UUID, dict[int, AxleFacts]]:
        found: dict[UUID, dict[int, AxleFacts]] = {unit.pk: {} for unit in self._units.all}
        for row in Axle.objects.filter(unit_id__in=found).values("unit_id", *AXLE_COLUMNS):
            found[row.pop("unit_id")][row["number"]] = row
        return found

    def judge(self, row: ImportRow) -> RowReport:
        """An axle is added, changed, or there already."""
        unit = self._units.in_service(row)
        self._rows[unit.pk].append(row.number)
        number = int(str(row.values["number"]))
        self.named.add((unit.pk, number), row.number)
        facts = {name: value for name, value in row.values.items() if name != "unit"}
        before = self._before[unit.pk].get(number)
        after = {**(before or {}), **facts}
        if _int(after.get("target_psi")) > (_int(after.get("max_psi")) or _int(after.get("target_psi"))):
            raise Refused(ColumnProblem("target_psi", "axle_target_over_most"))
        self._after[unit.pk][number] = after
        name = f"{unit}: {number}"
        if before is None:
            return RowReport(row.number, RowOutcome.CREATED, name)
        changes = changes_between(before, facts)
        outcome = RowOutcome.CHANGED if changes else RowOutcome.UNCHANGED
        return RowReport(row.number, outcome, name, unit.pk, changes)

    def _judge_whole(
        self, rows: Sequence[ImportRow], reports: Sequence[RowReport]
    ) -> Mapping[int, tuple[ColumnProblem, ...]]:
        """What is wrong with the axles of a unit as they would be, by row; all rows of such a unit are refused."""
        refused: dict[int, tuple[ColumnProblem, ...]] = {}
        for unit in self._units.all:
            numbers = self._rows[unit.pk]
            broken = problems_of(unit.kind, {}, self._axles(unit.pk), self.context.now)
            for problem in broken:
                refused.update(dict.fromkeys(numbers, (_shown(problem),)))
        bad = {report.row for report in reports if report.outcome is RowOutcome.REFUSED}
        for row in rows:
            named = self._units.get(row)
            if named is not None and row.number in bad:
                others = [number for number in self._rows[named.pk] if number not in bad]
                refused.update(dict.fromkeys(others, (ColumnProblem("", "axle_beside_refused"),)))
        return {row: problems for row, problems in refused.items() if row not in bad}

    def _axles(self, unit: UUID) -> list[AxleFacts]:
        return [axle for _, axle in sorted(self._after[unit].items())]

    def _to_write(self, refused: set[int]) -> list[UnitEdit]:
        return [
            UnitEdit(unit.pk, unit.version, {}, {}, self._axles(unit.pk))
            for unit in self._units.all
            if refused.isdisjoint(self._rows[unit.pk]) and self._after[unit.pk] != self._before[unit.pk]
        ]


def _shown(problem: FactProblem) -> ColumnProblem:
    _, _, column = problem.field.rpartition("/")
    return ColumnProblem("number" if column == "axles" else column, problem.code)


def _int(value: object) -> int:
    return value if isinstance(value, int) else 0
