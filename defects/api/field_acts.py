"""A review or a refusal as it was signed in the field: kept whatever stands in it, as far as it says what it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from common.api.field_bodies import read_field_body
from common.api.parsers import sent_object
from common.api.serializers import StrictSerializer
from common.errors import Invalid
from defects.api.field_queries import queries_of
from defects.api.field_zones import zone_of
from defects.services.signatures import AsSent, Signing, as_of_receipt
from fleet.api.requests import ServiceRequest
from fleet.enums import SignatureMethod

SAID = ("method", "signed_at", "shown")
"""A signature that says none of these is none."""


@dataclass(frozen=True)
class FieldAct:
    """What was read, under which name, whose signature it bears, and what was sent where that was read otherwise."""

    name: UUID
    given: dict[str, Any]
    signing: Signing
    sent: AsSent
    text: str

    def queried(self, queries: Sequence[Mapping[str, object]]) -> AsSent:
        """What was sent, with what is flagged about the rows that it names."""
        return AsSent(self.text, (*self.sent.queries, *queries)) if queries else self.sent


def field_act(body: type[StrictSerializer], request: ServiceRequest) -> FieldAct:
    """Read it; Invalid `unsigned`, and at `/id` `required` for one without a name."""
    sent = sent_object(request)
    read = read_field_body(body, sent, zone_of)
    signature = read.given.get("signature", {})
    if not any(signature.get(name) for name in SAID):
        raise Invalid("unsigned", pointer="/signature")
    name: UUID | None = read.given.get("id")
    if name is None:
        raise Invalid("required", pointer="/id")
    given = Signing(
        signer=request.person,
        method=SignatureMethod(signature.get("method", SignatureMethod.OTHER)),
        signed_at=signature.get("signed_at", request.now),
        shown=signature.get("shown", ""),
        device=signature.get("device", ""),
    )
    signing, codes = as_of_receipt(given, request.now)
    queries: list[Mapping[str, object]] = [*queries_of(read.odd)]
    queries += [{"code": code, "facts": {}} for code in codes]
    return FieldAct(name, read.given, signing, AsSent(sent.text if queries else "", tuple(queries)), sent.text)
