"""Officers' inspections: recorded by whoever gets the report first, answered by compliance."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import DayFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import DecimalText, Flag, Instant, Text, Whole, Word
from common.api.views import expected_version, takes
from defects.api.records import OwnSignature
from defects.enums import DefectState, RoadsideState
from defects.models import Hold, RoadsideInspection, RoadsideViolation
from defects.selectors.roadside import in_state, roadside_inspection, roadside_rows, roadside_state
from defects.services.roadside.answer import answer_roadside_inspection
from defects.services.roadside.record import record_roadside_inspection
from defects.services.roadside.report import OfficersReport, Violation
from defects.transitions import RECORD_ROADSIDE, ROADSIDE_INSPECTIONS
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import units_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.models import Unit
from fleet.models.base import choices


class RoadsideFilters(StrictFilterSet):
    """By unit, by the state of the answer, and by the last day on which an answer is due."""

    unit = UnitRefFilter("units")
    open = OpenFilter(Q(is_clean=False, answered_at__isnull=True))
    since, until = within("inspected_at")
    state_of_answer = filters.ChoiceFilter(choices=choices(RoadsideState), method="by_state")
    due_by = DayFilter("answer_due_on", lookup_expr="lte")

    def by_state(self, rows: QuerySet[RoadsideInspection], _name: str, value: str) -> QuerySet[RoadsideInspection]:
        return in_state(rows, value)


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
    us_state: Annotated[str, Text(2)] = Field(description="two capital letters")
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
            us_state=self.us_state,
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


class ViolationAnswer(Answer):
    """One line with the defect it is about."""

    position: int
    unit: UnitShort
    out_of_service: bool
    section: str
    text: str
    point: str
    place: str
    defect: int
    defect_state: Annotated[str, Word(DefectState)]

    @classmethod
    def of_line(cls, line: RoadsideViolation) -> Self:
        defect = line.defect
        return cls.of(line, point=defect.point, place=defect.place, defect=defect.number, defect_state=defect.state)


class OfficersOrderAnswer(Answer):
    """An officer's order on one unit: a hold."""

    hold: int
    unit: UnitShort
    lifted_at: datetime | None

    @classmethod
    def of_hold(cls, hold: Hold) -> Self:
        return cls.of(hold, hold=hold.number)


class RoadsideAnswer(Answer):
    """One inspection. `orders` stand on the units that they name and on no other."""

    id: UUID
    report_number: str
    state_of_answer: Annotated[str, Word(RoadsideState)]
    inspected_at: datetime
    officer: str
    us_state: str
    level: int
    units: list[UnitShort]
    violations: list[ViolationAnswer]
    orders: list[OfficersOrderAnswer]
    received_at: datetime
    recorded_by: PersonShort
    answer_due_on: date | None
    answered_at: datetime | None
    answered_by: PersonShort | None
    answer_title: str
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, inspection: RoadsideInspection, roles: frozenset[str]) -> Self:
        """Return an inspection with what somebody of these roles may do with it now."""
        state = roadside_state(inspection)
        return cls.of(
            inspection,
            state_of_answer=state,
            units=list(inspection.units.all()),
            violations=[ViolationAnswer.of_line(line) for line in inspection.violations.all()],
            orders=[OfficersOrderAnswer.of_hold(hold) for hold in inspection.holds.all()],
            allowed_actions=[] if inspection.is_clean else ROADSIDE_INSPECTIONS.allowed_actions(state, roles),
        )


class RoadsideViewSet(ListMixin, ReadMixin):
    """Officers' inspections, newest first.

    Each with its violations, orders and answer.
    """

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "create": RECORD_ROADSIDE,
        "answer": ROADSIDE_INSPECTIONS.roles_for("answer"),
    }
    if_match = frozenset({"answer"})
    filterset_class = RoadsideFilters
    ordering = ("-inspected_at",)
    shows = RoadsideAnswer
    tag = "roadside-inspections"

    def get_queryset(self) -> QuerySet[RoadsideInspection]:
        return roadside_rows()

    def one(self, name: UUID) -> RoadsideInspection:
        return roadside_inspection(name)

    def answer_of(self, row: Any) -> RoadsideAnswer:
        return RoadsideAnswer.for_roles(row, self.caller_roles)

    @takes(RoadsideBody)
    def create(self, request: ServiceRequest, body: RoadsideBody) -> Response:
        """Record an officer's report.

        The answer shows the orders and defects that follow from it.
        """
        inspection = record_roadside_inspection(report=body.report(), actor=request.person, now=request.now)
        return self.created(self.one(inspection.pk), f"{request.path}/{inspection.pk}")

    @takes(AnswerBody)
    def answer(self, request: ServiceRequest, body: AnswerBody, key: UUID) -> Response:
        """Certify to the officer's agency that every violation is corrected."""
        answer_roadside_inspection(
            inspection_id=key,
            version=expected_version(request),
            official_title=body.official_title,
            signing=body.signature.signing(request.person),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self.one(key))
