"""Reading reports: lists, and one whole report in plain words."""

from http import HTTPStatus
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from defects.api.catalogues import catalogue_for
from defects.api.readers import READERS
from defects.api.reports.filters import ReportFilters
from defects.api.reports.serializers import ReportOut, ReportPageOut, SetAsideBody, SetAsideOut
from defects.api.reports.words import report_body, report_page_body
from defects.api.signatures import own_signing
from defects.models import Report
from defects.selectors.reports import report_named, report_page, report_rows
from defects.services.setting_aside import set_report_aside
from defects.transitions import SET_ASIDE
from fleet.api.base import ServiceViewSet
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest


class ReportViewSet(ServiceViewSet):
    """Reports of every unit: the next driver must read the last one, whoever signed it."""

    roles = {"list": READERS, "retrieve": READERS, "set_aside": SET_ASIDE}
    queryset = Report.objects.none()
    filterset_class = ReportFilters
    serializer_class = ReportOut
    ordering = ("-performed_at",)

    @extend_schema(operation_id="reports_list", summary="Reports, newest first", responses=ReportOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """One page of the reports asked for."""
        page = self.paginate_queryset(self.filter_queryset(report_rows())) or []
        return self.paged(page, report_body)

    @extend_schema(operation_id="reports_read", summary="One whole report in plain words", responses=ReportPageOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """The report with every check, its verdict, its defects, its signature and how far its review has come."""
        return report_answer(key, request)

    @extend_schema(
        operation_id="reports_set_aside",
        summary="Set a report aside that cannot be read",
        request=SetAsideBody,
        responses={201: SetAsideOut},
    )
    def set_aside(self, request: ServiceRequest, key: UUID) -> Response:
        """Answers are given without it from now on; what it found and the review that it owes stand as before."""
        given = parsed(SetAsideBody, request).validated_data
        made = set_report_aside(
            report_id=key,
            reason=given["reason"],
            signing=own_signing(given["signature"], request.person),
            actor=request.person,
            now=request.now,
        )
        body = {"report": made.report_id, "reason": made.reason, "set_aside_at": made.set_aside_at}
        return Response(body, status=HTTPStatus.CREATED)


def report_answer(key: UUID, request: ServiceRequest) -> Response:
    """One whole report in the words of whoever asks."""
    page = report_page(report_named(key))
    return Response(report_page_body(page, catalogue_for(request), request.person.language))
