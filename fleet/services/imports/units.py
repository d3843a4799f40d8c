"""Units out of a table: a unit is named by its owner and number. Known ones are edited, the others added."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from fleet.enums import RowOutcome, UnitKind, UnitState
from fleet.models import Unit
from fleet.rules.units.description import DETAILS, FACTS
from fleet.rules.units.references import UnitReference, reference_of
from fleet.selectors.units.lookup import units_named
from fleet.services.imports.plan import (
    Change,
    ColumnProblem,
    ImportRow,
    Plan,
    Refused,
    RowReport,
    batches,
    changes_between,
)
from fleet.services.imports.references import Sites
from fleet.services.records.unit_of_work import lock_units
from fleet.services.units.edits import UnitEdit, edit_units
from fleet.services.units.writers import NewUnit, create_units, problems_of
from fleet.transitions import UNIT

NAMING = frozenset({"kind", "number", "owner"})
WHEELED = frozenset({"vin", "tire_size"})
"""What only units on wheels have of what is a fact of every unit."""


class UnitPlan(Plan):
    """Which units a table adds, which it changes."""

    def read(self, rows: Sequence[ImportRow]) -> None:
        """The units named. NotAllowed for whoever may not edit those on record."""
        self._new: list[NewUnit] = []
        self._edits: list[UnitEdit] = []
        self._sites = Sites()
        self._known = self._find(rows)
        self._vins = self._find_vins(rows)
        if self._known:
            UNIT.resolve("edit", UnitState.IN_SERVICE, self.context.actor.current_roles)

    def write(self) -> None:
        actor, now = self.context.actor, self.context.now
        for added in batches(self._new):
            create_units(units=added, actor=actor, now=now)
        for edits in batches(self._edits):
            edit_units(edits=edits, actor=actor, now=now)

    def _find(self, rows: Iterable[ImportRow]) -> Mapping[UnitReference, Unit]:
        """The units on record, locked first where they are to be written, so that what is compared stays true."""
        names = [(str(row.values["number"]), str(row.values.get("owner", ""))) for row in rows]
        if self.context.locking:
            lock_units(unit.pk for unit in units_named(names).values())
        return units_named(names, among=Unit.objects.select_related("tractor", "trailer", "cooling_unit"))

    def _find_vins(self, rows: Iterable[ImportRow]) -> dict[object, object]:
        given = {row.values["vin"] for row in rows if row.values.get("vin")}
        taken = Unit.objects.filter(vin__in=sorted(map(str, given)), retired_on__isnull=True)
        return dict(taken.values_list("vin", "pk"))

    def judge(self, row: ImportRow) -> RowReport:
        """A unit is added, edited, or known as the row says."""
        reference = reference_of(str(row.values["number"]), str(row.values.get("owner", "")))
        self.named.add(reference, row.number)
        unit = self._known.get(reference)
        return self._judge_new(row, reference) if unit is None else self._judge_known(row, unit)

    def _judge_new(self, row: ImportRow, reference: UnitReference) -> RowReport:
        if "kind" not in row.values:
            raise Refused(ColumnProblem("kind", "required"))
        kind = UnitKind(str(row.values["kind"]))
        facts, details, problems = self._facts(row, kind)
        name = f"{row.values['number']}@{row.values['owner']}" if reference.owner else str(row.values["number"])
        problems += self._problems(kind, facts, reference)
        if problems:
            raise Refused(*problems)
        self._vins[facts.get("vin")] = reference
        self._new.append(NewUnit(kind, facts, details))
        return RowReport(row.number, RowOutcome.CREATED, name)

    def _judge_known(self, row: ImportRow, unit: Unit) -> RowReport:
        if row.values.get("kind", unit.kind) != unit.kind:
            raise Refused(ColumnProblem("kind", "import_kind_differs", {"known_kind": unit.kind}))
        kind = UnitKind(unit.kind)
        facts, details, problems = self._facts(row, kind)
        facts = {name: value for name, value in facts.items() if name not in NAMING}
        problems += self._problems(kind, facts, unit.pk)
        if problems:
            raise Refused(*problems)
        own: Any = getattr(unit, unit.kind)
        changed_facts = changes_between({name: getattr(unit, name) for name in facts}, facts)
        changed_details = changes_between({name: getattr(own, name) for name in details}, details)
        changes = (*map(self._shown, changed_facts), *changed_details)
        if not changes:
            return RowReport(row.number, RowOutcome.UNCHANGED, str(unit), unit.pk)
        self._edits.append(UnitEdit(unit.pk, unit.version, _after(changed_facts), _after(changed_details)))
        return RowReport(row.number, RowOutcome.CHANGED, str(unit), unit.pk, changes)

    def _facts(
        self, row: ImportRow, kind: UnitKind
    ) -> tuple[dict[str, object], dict[str, object], list[ColumnProblem]]:
        """What a row says of a unit of this kind, and what it cannot say of one."""
        foreign = (WHEELED - {"vin"} if kind is UnitKind.COOLING_UNIT else frozenset()) | (
            frozenset().union(*DETAILS.values()) - DETAILS[kind]
        )
        problems = [ColumnProblem(name, "column_not_of_kind") for name in row.values if name in foreign]
        facts = {name: value for name, value in row.values.items() if name in FACTS and name not in foreign}
        try:
            site = self._sites.of(row, "home_site")
        except Refused as refused:
            problems += refused.problems
        else:
            facts |= {} if site is None else {"home_site_id": site.pk}
        return facts, {name: value for name, value in row.values.items() if name in DETAILS[kind]}, problems

    def _problems(self, kind: str, facts: Mapping[str, object], whose: object) -> list[ColumnProblem]:
        broken = problems_of(kind, facts, None, self.context.now)
        problems = [ColumnProblem(problem.field, problem.code) for problem in broken]
        if facts.get("vin") and self._vins.get(facts["vin"], whose) != whose:
            problems.append(ColumnProblem("vin", "vin_taken"))
        return problems

    def _shown(self, change: Change) -> Change:
        """Sites are told by their codes."""
        if change.column != "home_site_id":
            return change
        before, after = (
            self._sites.codes.get(key) if isinstance(key, UUID) else None for key in (change.before, change.after)
        )
        return Change("home_site", before, after)


def _after(changes: Iterable[Change]) -> dict[str, object]:
    return {change.column: change.after for change in changes}
