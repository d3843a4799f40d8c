"""Reports over HTTP: lists, one whole report in plain words, which unit one is on, and setting one aside."""

from collections.abc import Mapping
from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.values import Text, Word
from common.api.views import gives, takes
from defects.api.catalogue.in_force import catalogue_for
from defects.api.records import OwnSignature
from defects.api.walkarounds.receipts import FlagAnswer, LooksAnswer
from defects.api.walkarounds.report_checks import CheckOnReportAnswer, FaultOnReportAnswer
from defects.api.walkarounds.report_filters import ReportFilters
from defects.enums import DefectState, Outcome, ReviewState, Severity, WalkaroundKind
from defects.models import Report
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.walkarounds.reports import report_named, report_page, report_rows, review_state
from defects.services.walkarounds.assigning import assign_unit
from defects.services.walkarounds.judging import given_check_of
from defects.services.walkarounds.setting_aside import set_report_aside
from defects.transitions import ASSIGN_UNIT, SET_ASIDE
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitShort
from fleet.enums import SignatureMethod


class ReportAnswer(Answer):
    """One report as a list shows it. `unit` is null while `given_unit` names none that is known."""

    id: UUID
    walkaround: UUID
    kind: Annotated[str, Word(WalkaroundKind)]
    unit: UnitShort | None
    given_unit: str
    unit_assigned_by: PersonShort | None = Field(description="who said later which unit it is")
    driver: PersonShort
    team_mate: PersonShort | None
    site: str
    performed_at: datetime
    checks: int = Field(description="how many")
    checks_deleted: bool = Field(description="what it listed is past its retention; its hashes and signature stay")
    findings: int = Field(description="how many checks found something, free-text faults included")
    flagged: int = Field(description="how many things a foreman must look at")
    review: ReviewState

    @classmethod
    def of_report(cls, report: Report, **more: object) -> Self:
        """A report with its walk-around and whether it is reviewed."""
        walkaround = report.walkaround
        found = sum(_is_found(check) for check in report.checks)
        return cls.of(
            report,
            walkaround=walkaround.pk,
            kind=walkaround.kind,
            driver=walkaround.person,
            team_mate=walkaround.team_mate,
            site="" if walkaround.site is None else walkaround.site.code,
            checks=len(report.checks),
            checks_deleted=report.checks_schema == Report.CHECKS_DELETED,
            findings=found + len(report.faults),
            flagged=len(report.flags) + len(walkaround.flags),
            review=review_state(report),
            **more,
        )


class ReportSignatureAnswer(Answer):
    """The driver's signature. `content_hash` is the SHA-256 of what was signed."""

    signer: PersonShort
    method: Annotated[str, Word(SignatureMethod)]
    shown: str
    signed_at: datetime
    received_at: datetime
    content_hash: str


class ReviewedAnswer(Answer):
    """One driver's review of the report."""

    person: PersonShort
    reviewed_at: datetime


class DefectOnReportAnswer(Answer):
    """A defect that the report opened or saw."""

    number: int
    what: str
    state: Annotated[str, Word(DefectState)]
    severity: Annotated[str, Word(Severity)]


class ReportPageAnswer(ReportAnswer):
    """One whole report."""

    catalogue: str
    catalogue_known: bool
    looks: LooksAnswer
    items: list[CheckOnReportAnswer]
    faults: list[FaultOnReportAnswer]
    flags: list[FlagAnswer]
    defects: list[DefectOnReportAnswer]
    signature: ReportSignatureAnswer
    reviews: list[ReviewedAnswer]


class SetAsideBody(Body):
    """Why, and your signature under it."""

    reason: Annotated[str, Text(1000, multiline=True)]
    signature: OwnSignature


class SetAsideAnswer(Answer):
    """The report that answers are given without, and why."""

    report: UUID
    reason: str
    set_aside_at: datetime


class AssignUnitBody(Body):
    """The unit, by its number, number@owner, or key."""

    unit: Annotated[str, Text(160)]


class ReportViewSet(ListMixin):
    """Reports, newest first: the next driver must read the last one, whoever signed it."""

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "set_aside": SET_ASIDE,
        "assign_unit": ASSIGN_UNIT,
    }
    queryset = Report.objects.none()
    filterset_class = ReportFilters
    ordering = ("-performed_at",)
    shows = ReportAnswer
    unknown = "report_unknown"
    tag = "reports"

    def get_queryset(self) -> QuerySet[Report]:
        return self.visible(lambda _: report_rows(), Report)

    def answer_of(self, row: Any) -> ReportAnswer:
        return ReportAnswer.of_report(row)

    @gives(ReportPageAnswer)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """Read one whole report in plain words.

        The report with every check, its verdict, its defects, its signature and how far its review has come.
        """
        return Response(_page(key, request))

    @extend_schema(responses={201: SetAsideAnswer})
    @takes(SetAsideBody)
    def set_aside(self, request: ServiceRequest, body: SetAsideBody, key: UUID) -> Response:
        """Set a report aside that cannot be read.

        Answers are given without it from now on; what it found and the review that is due for it stand as before.
        """
        made = set_report_aside(
            report_id=key,
            reason=body.reason,
            signing=body.signature.signing(request.person),
            actor=request.person,
            now=request.now,
        )
        answer = SetAsideAnswer(report=made.report_id, reason=made.reason, set_aside_at=made.set_aside_at)
        return Response(answer, status=HTTPStatus.CREATED)

    @gives(ReportPageAnswer)
    @takes(AssignUnitBody)
    def assign_unit(self, request: ServiceRequest, body: AssignUnitBody, key: UUID) -> Response:
        """Say which unit a report is on.

        Once. Its findings, holds and values then stand on the unit, as of when the walk-around was made.
        """
        unit = unit_in_body(body.unit, "/unit")
        assign_unit(report_id=key, unit_id=unit.pk, actor=request.person, now=request.now)
        return Response(_page(key, request))


def _is_found(check: Mapping[str, Any]) -> bool:
    """Whether a defect stands for it: a finding, or something reported that only a foreman can grade."""
    verdict = check["verdict"]
    unplaced = verdict["outcome"] == Outcome.FLAGGED and (given_check_of(check).says_fault or "severity" in verdict)
    return verdict["outcome"] == Outcome.FINDING or unplaced


def _page(key: UUID, request: ServiceRequest) -> ReportPageAnswer:
    """One whole report, worded by the catalogue it was judged by, else by the one in force."""
    page, in_force, language = report_page(report_named(key)), catalogue_for(request), request.person.language
    report, catalogue = page.report, page.catalogue or in_force
    return ReportPageAnswer.of_report(
        report,
        catalogue=report.walkaround.catalogue_id,
        catalogue_known=page.catalogue is not None,
        looks=LooksAnswer.of_report(report),
        items=[CheckOnReportAnswer.of_check(check, catalogue, language) for check in report.checks],
        faults=[FaultOnReportAnswer.of_fault(fault) for fault in report.faults],
        flags=[FlagAnswer.worded(item, language) for item in (*report.flags, *report.walkaround.flags)],
        defects=[
            DefectOnReportAnswer.of(defect, what=what_of_defect(defect, in_force, language)) for defect in page.defects
        ],
        signature=ReportSignatureAnswer.of(report.signature, signer=report.walkaround.person),
        reviews=[ReviewedAnswer.of(review) for review in page.reviews],
    )
