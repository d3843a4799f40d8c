"""Holds: lists, one hold's page, and placing one. Lifting stands in `actions`."""

from http import HTTPStatus

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.versions import etag
from defects.api.catalogues import catalogue_for
from defects.api.holds.filters import HoldFilters
from defects.api.holds.serializers import HoldOut, HoldPageOut, PlaceHoldBody
from defects.api.holds.words import hold_body, hold_page_body
from defects.api.readers import READERS
from defects.models import Hold
from defects.selectors.defects.defects import defect_key
from defects.selectors.holds import defects_under, hold_named, hold_rows, hold_version
from defects.services.holds.placing import place_hold
from defects.transitions import PLACE_HOLD
from fleet.api.base import ServiceViewSet
from fleet.api.names import unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest


class HoldViewSet(ServiceViewSet):
    """Holds, newest first, and one hold by its number or key."""

    roles = {"list": READERS, "retrieve": READERS, "create": PLACE_HOLD}
    problem_statuses = {"create": frozenset({404})}
    queryset = Hold.objects.none()
    filterset_class = HoldFilters
    serializer_class = HoldOut
    ordering = ("-placed_at",)

    @extend_schema(operation_id="holds_list", summary="Holds, newest first", responses=HoldOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """One page of the holds asked for."""
        page = self.paginate_queryset(self.filter_queryset(hold_rows())) or []
        catalogue = catalogue_for(request)
        return self.paged(page, lambda hold: hold_body(hold, catalogue, request.person.language))

    @extend_schema(operation_id="holds_read", summary="One hold and what it waits for", responses=HoldPageOut)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """The hold with the defects that must be repaired before it may be lifted."""
        return hold_answer(hold_named(ref), request)

    @extend_schema(
        operation_id="holds_place", summary="Place a hold", request=PlaceHoldBody, responses={201: HoldPageOut}
    )
    def create(self, request: ServiceRequest) -> Response:
        """Place the carrier's hold for a reason, or for an open defect of the unit; foremen and dispatch are told."""
        given = parsed(PlaceHoldBody, request).validated_data
        hold = place_hold(
            unit_id=unit_in_body(given["unit"], "/unit").pk,
            defect_id=defect_key(given["defect"]) if "defect" in given else None,
            reason=given["reason"],
            actor=request.person,
            now=request.now,
        )
        answer = hold_answer(hold_named(str(hold.pk)), request, HTTPStatus.CREATED)
        answer.headers["Location"] = f"/api/v1/holds/{hold.number}"
        return answer


def hold_answer(hold: Hold, request: ServiceRequest, status: int = 200) -> Response:
    """One hold's page, with the ETag that lifting it asks for."""
    under = defects_under(hold)
    body = hold_page_body(hold, under, catalogue_for(request), request.person)
    return Response(body, status=status, headers={"ETag": etag(hold_version(hold, under))})
