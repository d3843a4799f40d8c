"""Reading reports: lists, and one whole report in plain words."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from defects.api.catalogues import catalogue_for
from defects.api.readers import READERS
from defects.api.reports.filters import ReportFilters
from defects.api.reports.serializers import ReportOut, ReportPageOut
from defects.api.reports.words import report_body, report_page_body
from defects.models import Report
from defects.selectors.reports import report_named, report_page, report_rows
from fleet.api.base import ServiceViewSet
from fleet.api.requests import ServiceRequest


class ReportViewSet(ServiceViewSet):
    """Reports of every unit: the next driver must read the last one, whoever signed it."""

    roles = {"list": READERS, "retrieve": READERS}
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


def report_answer(key: UUID, request: ServiceRequest) -> Response:
    """One whole report in the words of whoever asks."""
    page = report_page(report_named(key))
    return Response(report_page_body(page, catalogue_for(request), request.person.language))
