"""An officer's report as it is written down, and as it is answered."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import DecimalText, Flag, Instant, Text, Whole
from defects.api.records import OwnSignature
from defects.services.roadside.report import OfficersReport, Violation
from fleet.api.requests.references import units_in_body
from fleet.api.units.short import UnitRef
from fleet.models import Unit

HIGHEST_LEVEL = 8
"""Levels of inspection are numbered I to VIII."""


class ViolationBody(Body):
    """One line of the report: a point of the catalogue with its place, the officer's words, or both."""

    unit: UnitRef
    out_of_service: Flag
    point: Annotated[str, Text(80)] = ""
    place: Annotated[str, Text(40, may_be_blank=True)] = ""
    finding: Annotated[str, Text(40)] = ""
    section: Annotated[str, Text(40)] = Field(default="", description="the rule as the officer names it")
    text: Annotated[str, Text(1000, multiline=True)] = ""
    value: Annotated[Decimal, DecimalText(12, 4)] = ABSENT
    unit_of_measure: Annotated[str, Text(16)] = ""

    def violation(self, unit: Unit) -> Violation:
        """Return the line as the services take it."""
        return Violation(**{**self.changes(), "unit": unit})


class RoadsideBody(Body):
    """The report as the officer gave it; without violations it is a clean one."""

    report_number: Annotated[str, Text(40)]
    inspected_at: Instant
    officer: Annotated[str, Text(120)]
    state: Annotated[str, Text(2)] = Field(description="two capital letters")
    level: Annotated[int, Whole(least=1, most=HIGHEST_LEVEL)]
    units: Annotated[list[UnitRef], Field(min_length=1, max_length=8)]
    violations: Annotated[list[ViolationBody], Field(max_length=60)] = []

    def report(self) -> OfficersReport:
        """Return the report with its units found; Invalid `unit_unknown`."""
        refs = [*self.units, *(line.unit for line in self.violations)]
        places = [f"/units/{index}" for index in range(len(self.units))]
        lines = [f"/violations/{index}/unit" for index in range(len(self.violations))]
        found = units_in_body(refs, [*places, *lines])
        named, of_lines = found[: len(places)], found[len(places) :]
        return OfficersReport(
            report_number=self.report_number,
            inspected_at=self.inspected_at,
            officer=self.officer,
            state=self.state,
            level=self.level,
            units=list(dict.fromkeys(named)),
            violations=self._violations(of_lines),
        )

    def _violations(self, units: Sequence[Unit]) -> list[Violation]:
        return [line.violation(unit) for line, unit in zip(self.violations, units, strict=True)]


class AnswerBody(Body):
    """The official's title and signature: every violation on the report is corrected."""

    official_title: Annotated[str, Text(120)]
    signature: OwnSignature
