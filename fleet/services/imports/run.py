"""Taking in one table: judged whole, then written or not as the mode says, in one transaction."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from django.db import transaction

from common.errors import FieldProblem, Invalid
from fleet.enums import ImportMode, RowOutcome
from fleet.models import Person
from fleet.services.imports.axles import AxlePlan
from fleet.services.imports.cooling_readings import CoolingReadingPlan
from fleet.services.imports.documents import DocumentPlan
from fleet.services.imports.mountings import MountingPlan
from fleet.services.imports.people import PeoplePlan
from fleet.services.imports.plan import ImportContext, ImportRow, Plan, RowReport
from fleet.services.imports.readings import ReadingPlan
from fleet.services.imports.roles import RolePlan
from fleet.services.imports.units import UnitPlan

MOST_LISTED = 1000
"""Refused rows whose problems are told one by one; whoever has more has one mistake in a whole column."""


class Table(StrEnum):
    """What can be imported."""

    UNITS = "units"
    AXLES = "axles"
    DOCUMENTS = "documents"
    PEOPLE = "people"
    METER_READINGS = "meter-readings"
    COOLING_READINGS = "cooling-readings"
    ROLES = "roles"
    MOUNTINGS = "mountings"


PLANS: Mapping[Table, Callable[[Sequence[ImportRow], ImportContext], Plan]] = {
    Table.UNITS: UnitPlan,
    Table.AXLES: AxlePlan,
    Table.DOCUMENTS: DocumentPlan,
    Table.PEOPLE: PeoplePlan,
    Table.METER_READINGS: ReadingPlan,
    Table.COOLING_READINGS: CoolingReadingPlan,
    Table.ROLES: RolePlan,
    Table.MOUNTINGS: MountingPlan,
}


@dataclass(frozen=True)
class ImportReport:
    """What an import did, or would do; refused rows beyond `MOST_LISTED` are counted and not listed."""

    what: Table
    mode: ImportMode
    rows: Sequence[RowReport]
    counts: Mapping[str, int]

    @property
    def applied(self) -> bool:
        """Whether anything was to be written."""
        return self.mode is not ImportMode.DRY_RUN


@transaction.atomic
def import_rows(
    *, what: Table, rows: Sequence[ImportRow], mode: ImportMode, actor: Person, now: datetime, today: date
) -> ImportReport:
    """Take a table in. The same table again changes nothing; an empty cell leaves what is on record.

    Invalid `import_refused` when all or nothing was asked for and a row is refused, with a pointer `/rows/17/plate`
    to each problem, the row by its number in the spreadsheet.
    """
    examples = [RowReport(row.number, RowOutcome.EXAMPLE) for row in rows if row.is_example]
    given = [row for row in rows if not row.is_example]
    plan = PLANS[what](given, ImportContext(actor, now, today, locking=mode is not ImportMode.DRY_RUN))
    refused = [report for report in plan.reports if report.outcome is RowOutcome.REFUSED]
    if refused and mode is ImportMode.ALL_OR_NOTHING:
        raise Invalid("import_refused", refused=len(refused), problems=_problems(refused[:MOST_LISTED]))
    if mode is not ImportMode.DRY_RUN:
        plan.write()
    reports = sorted([*plan.reports, *examples], key=lambda report: report.row)
    counted = Counter(report.outcome for report in reports)
    shown = {report.row for report in refused[:MOST_LISTED]}
    listed = [report for report in reports if report.outcome is not RowOutcome.REFUSED or report.row in shown]
    return ImportReport(what, mode, listed, {outcome.value: counted[outcome] for outcome in RowOutcome})


def _problems(refused: Sequence[RowReport]) -> list[FieldProblem]:
    return [
        FieldProblem(
            f"/rows/{report.row}" + (f"/{problem.column}" if problem.column else ""),
            problem.code,
            {"row": report.row, "column": problem.column, **problem.facts},
        )
        for report in refused
        for problem in report.problems
    ]
