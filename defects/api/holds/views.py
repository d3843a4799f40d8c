"""Holds: lists, one hold's page, placing one and lifting it."""

from functools import cached_property
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from rest_framework.response import Response

from common.api.bodies import ABSENT, Body
from common.api.values import Numbered, Text
from common.api.views import expected_version, gives, takes
from common.versions import etag
from defects.api.catalogue.in_force import catalogue_for
from defects.api.holds.answers import HoldAnswer, HoldPageAnswer
from defects.api.holds.filters import HoldFilters
from defects.api.records import OwnSignature
from defects.models import Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.defects import defect_key
from defects.selectors.holds import defects_under, hold_named, hold_rows, hold_version
from defects.services.holds.lifting import lift_hold
from defects.services.holds.placing import place_hold
from defects.transitions import HOLDS, PLACE_HOLD
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.references import in_body, unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitRef

Reason = Annotated[str, Text(1000, multiline=True)]


class PlaceHoldBody(Body):
    """A hold that a person places. With `defect` it lifts when that is repaired."""

    unit: UnitRef
    reason: Reason
    defect: Numbered = ABSENT


class LiftBody(Body):
    """The foreman's signature. `reason` is needed for a hold that a person placed without a defect."""

    signature: OwnSignature
    reason: Reason = ""


class HoldViewSet(ListMixin):
    """Holds, newest first."""

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "create": PLACE_HOLD,
        "lift": HOLDS.roles_for("lift"),
    }
    if_match = frozenset({"lift"})
    filterset_class = HoldFilters
    ordering = ("-placed_at",)
    shows = HoldAnswer

    def get_queryset(self) -> QuerySet[Hold]:
        """Return all holds with what is shown of them."""
        return hold_rows()

    @cached_property
    def catalogue(self) -> Catalogue:
        """The catalogue by which the answers are worded."""
        return catalogue_for(service_request(self.request))

    def answer_of(self, row: Any) -> HoldAnswer:
        """Return a hold as a list shows it."""
        return HoldAnswer.of_hold(row, self.catalogue, service_request(self.request).person.language)

    @gives(HoldPageAnswer)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One hold, by number or key, with the defects that must be repaired before it may be lifted."""
        return self._page(hold_named(ref), request)

    @gives(HoldPageAnswer)
    @takes(PlaceHoldBody)
    def create(self, request: ServiceRequest, body: PlaceHoldBody) -> Response:
        """Place the carrier's hold for a reason, or for an open defect of the unit; foremen and dispatch are told."""
        hold = place_hold(
            unit_id=unit_in_body(body.unit, "/unit").pk,
            defect_id=in_body(defect_key, body.defect, "/defect") if body.defect else None,
            reason=body.reason,
            actor=request.person,
            now=request.now,
        )
        answer = self._page(hold_named(str(hold.pk)), request, HTTPStatus.CREATED)
        answer.headers["Location"] = f"/api/v1/holds/{hold.number}"
        return answer

    @gives(HoldPageAnswer)
    @takes(LiftBody)
    def lift(self, request: ServiceRequest, body: LiftBody, ref: str) -> Response:
        """Lift it once everything under it is certified repaired, by a foreman who did not do the work."""
        hold = lift_hold(
            hold_id=hold_named(ref).pk,
            version=expected_version(request),
            signing=body.signature.signing(request.person),
            reason=body.reason,
            actor=request.person,
            now=request.now,
        )
        return self._page(hold, request)

    def _page(self, hold: Hold, request: ServiceRequest, status: int = HTTPStatus.OK) -> Response:
        """One hold's page, with the ETag that lifting it asks for."""
        under = defects_under(hold)
        body = HoldPageAnswer.of_page(hold, under, self.catalogue, request.person)
        return Response(body, status=status, headers={"ETag": etag(hold_version(hold, under))})
