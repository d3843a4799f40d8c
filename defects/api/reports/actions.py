"""Saying which unit a report is on; reading reports is in `views`."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.fields import TextField
from common.api.serializers import StrictSerializer
from defects.api.reports.serializers import ReportPageOut
from defects.api.reports.views import report_answer
from defects.services.walkarounds.assigning import assign_unit
from defects.transitions import ASSIGN_UNIT
from fleet.api.base import ServiceView
from fleet.api.names import unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest


class AssignUnitBody(StrictSerializer):
    """The unit, by its number, number@owner, or key."""

    unit = TextField(max_length=160)


class AssignUnitView(ServiceView):
    """Which unit a kept report is on that named none that was known."""

    roles = {"post": ASSIGN_UNIT}
    tag = "reports"

    @extend_schema(
        operation_id="reports_assign_unit",
        summary="Say which unit a report is on",
        request=AssignUnitBody,
        responses=ReportPageOut,
    )
    def post(self, request: ServiceRequest, key: UUID) -> Response:
        """Once. Its findings, holds and values then stand on the unit, as of when the walk-around was made."""
        body = parsed(AssignUnitBody, request)
        unit = unit_in_body(body.validated_data["unit"], "/unit")
        assign_unit(report_id=key, unit_id=unit.pk, actor=request.person, now=request.now)
        return report_answer(key, request)
