"""PUT of a walk-around, reading its receipt again."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.response import Response

from common.canonical import canonical_json, sha256_hex
from common.errors import NotFound
from common.ids import uuid7_time
from defects.api.walkarounds.bodies import WalkaroundBody
from defects.api.walkarounds.receipts import ReceiptOut, receipt_body
from defects.models import Walkaround
from defects.selectors.receipts import stored_receipt
from defects.services.walkarounds import submit_walkaround
from fleet.api.base import ServiceView
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.enums import Role

SENT_AT = "sent_at"
"""The one field that is of the sending and not of the walk-around: sent again, it is the same walk-around."""


class WalkaroundView(ServiceView):
    """One walk-around, named by the phone that made it."""

    roles = {
        "put": frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN}),
        "get": frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN, Role.COMPLIANCE, Role.AUDITOR}),
    }

    @extend_schema(
        operation_id="walkarounds_put",
        summary="Hand in a signed walk-around; sending it again is harmless",
        request=WalkaroundBody,
        responses={201: ReceiptOut, 200: ReceiptOut},
    )
    def put(self, request: ServiceRequest, key: UUID) -> Response:
        """201 with the receipt; 200 with the same receipt, marked as replayed, when it is known already."""
        if uuid7_time(key) is None:
            raise NotFound("not_found")
        body = parsed(WalkaroundBody, request)
        signed = {name: value for name, value in body.initial_data.items() if name != SENT_AT}
        receipt = submit_walkaround(
            walkaround_id=key,
            submission=body.submission(sha256_hex(canonical_json(signed))),
            actor=request.person,
            now=request.now,
        )
        answer = receipt_body(receipt, request.person.language)
        return Response(answer, status=status.HTTP_200_OK if receipt.replayed else status.HTTP_201_CREATED)

    @extend_schema(operation_id="walkarounds_read", summary="Read a receipt again", responses=ReceiptOut)
    def get(self, request: ServiceRequest, key: UUID) -> Response:
        """The receipt of a walk-around one may see: one's own, or any for the shop and the office."""
        walkaround = Walkaround.objects.visible_to(request.person).filter(pk=key).first()
        if walkaround is None:
            raise NotFound("not_found")
        return Response(receipt_body(stored_receipt(walkaround, now=request.now), request.person.language))
