"""PUT of a walk-around, reading its receipt again."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.response import Response

from common.api.parsers import FieldJSONParser, sent_object
from common.api.signed_reading import read_signed
from common.canonical import canonical_json, sha256_hex
from common.errors import NotFound
from defects.api.records import zone_of
from defects.api.walkarounds.reading import submission_of
from defects.api.walkarounds.receipts import ReceiptAnswer, receipt_answer
from defects.models import Walkaround
from defects.rules.walkarounds.body import WalkaroundBody
from defects.selectors.walkarounds.receipts import stored_receipt
from defects.services.walkarounds import submit_walkaround
from defects.services.walkarounds.pace import Pace
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import Role

SENT_AT = "sent_at"
"""The one field that is of the sending and not of the walk-around: sent again, it is the same walk-around."""


class WalkaroundView(ServiceView):
    """One walk-around, named by the phone that made it."""

    parser_classes = (FieldJSONParser,)
    roles = {
        "put": frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN}),
        "get": frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN, Role.COMPLIANCE, Role.AUDITOR}),
    }

    @extend_schema(
        summary="Hand in a signed walk-around; sending it again is harmless",
        request=WalkaroundBody,
        responses={201: ReceiptAnswer, 200: ReceiptAnswer},
    )
    def put(self, request: ServiceRequest, key: UUID) -> Response:
        """201 with the receipt; 200 with the same receipt, marked as replayed, when it is known already.

        Refused is only what is not JSON (a name twice in one object included), larger than 1 MiB or nested more than
        32 levels deep, unsigned, signed by another person, or another body under the name. Whatever else differs from
        this description is kept and flagged: unknown fields and words, long texts, numbers for texts, nulls, instants
        without an offset or off the calendar. One that is larger than 128 KiB or has more than 100 findings waits (429)
        while another such of the same person is at work, or after much of them in ten minutes.
        """
        sent = sent_object(request)
        signed = {name: value for name, value in sent.items() if name != SENT_AT}
        body_hash = sha256_hex(canonical_json(signed))
        with Pace(actor=request.person, now=request.now) as pace:
            pace.weigh_text(sent.text)
            read = read_signed(WalkaroundBody, sent, lambda: zone_of(sent.get("site")))
            submission = submission_of(read, body_hash, sent.text)
            pace.weigh_findings(submission)
            receipt = submit_walkaround(walkaround_id=key, submission=submission, actor=request.person, now=request.now)
        answer = receipt_answer(receipt, request.person.language)
        return Response(answer, status=status.HTTP_200_OK if receipt.replayed else status.HTTP_201_CREATED)

    @extend_schema(summary="Read a receipt again", responses=ReceiptAnswer)
    def get(self, request: ServiceRequest, key: UUID) -> Response:
        """The receipt of a walk-around one may see: one's own, or any for the shop and the office."""
        walkaround = Walkaround.objects.visible_to(request.person).filter(pk=key).first()
        if walkaround is None:
            raise NotFound("not_found")
        return Response(receipt_answer(stored_receipt(walkaround, now=request.now), request.person.language))
