"""Lifting a hold; placing one is in `views`."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from common.api.fields import TextField
from common.api.serializers import StrictSerializer
from defects.api.holds.serializers import HoldPageOut
from defects.api.holds.views import hold_answer
from defects.api.signatures import OwnSignatureIn, own_signing
from defects.selectors.holds import hold_named
from defects.services.holds.lifting import lift_hold
from defects.transitions import HOLDS
from fleet.api.base import ServiceView
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest


class LiftBody(StrictSerializer):
    """The foreman's signature. `reason` is needed for a hold that a person placed without a defect."""

    signature = OwnSignatureIn()
    reason = TextField(max_length=1000, multiline=True, required=False)


class LiftView(ServiceView):
    """Lifting one hold."""

    roles = {"post": HOLDS.roles_for("lift")}
    if_match = frozenset({"post"})
    tag = "holds"

    @extend_schema(operation_id="holds_lift", summary="Lift a hold", request=LiftBody, responses=HoldPageOut)
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """Lift it once everything under it is certified repaired, by a foreman who did not do the work."""
        body = parsed(LiftBody, request)
        key: UUID = hold_named(ref).pk
        hold = lift_hold(
            hold_id=key,
            version=expected_version(request),
            signing=own_signing(body.validated_data["signature"], request.person),
            reason=body.validated_data.get("reason", ""),
            actor=request.person,
            now=request.now,
        )
        return hold_answer(hold, request)
