"""What signed bodies share: whose signature, in which zone, what is flagged. A walk-around's own body is elsewhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Generic, TypeVar
from uuid import UUID

from pydantic import Field

from common.api.bodies import Body
from common.api.parsers import sent_object
from common.api.signed_bodies import Expected, SignedBody, flags_of
from common.api.signed_reading import read_signed
from common.api.values import Instant, Text, Uuid
from common.errors import Invalid
from defects.services.records.signatures import AsSent, Signing, as_of_receipt
from fleet.api.requests.authentication import ServiceRequest
from fleet.enums import SignatureMethod
from fleet.models import Person
from fleet.selectors.carrier.carrier import zone_of


class FieldSignature(SignedBody):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method: Expected[SignatureMethod]
    signed_at: Expected[Instant]
    shown: Expected[Annotated[str, Text(1000, multiline=True)]]
    device: Annotated[str, Text(80, may_be_blank=True)] = ""


class FieldActBody(SignedBody):
    """What is signed in the field under a name of the phone's own."""

    id: Expected[Uuid] = Field(description="made by the phone; sent again, it gives the same record")
    signature: Expected[FieldSignature]


A = TypeVar("A", bound=FieldActBody)


@dataclass(frozen=True)
class FieldAct(Generic[A]):
    """What was read, under which name, whose signature it bears, and what was sent where that was read otherwise."""

    name: UUID
    body: A
    signing: Signing
    sent: AsSent
    text: str

    def flagged(self, flags: Sequence[Mapping[str, object]]) -> AsSent:
        """What was sent, with what is flagged about the rows that it names."""
        return AsSent(self.text, (*self.sent.flags, *flags)) if flags else self.sent


def field_act(body: type[A], request: ServiceRequest) -> FieldAct[A]:
    """Read it; Invalid `unsigned`, and at `/id` `required` for one without a name."""
    sent = sent_object(request)
    read = read_signed(body, sent, zone_of)
    signature = read.body.signature
    if signature is None or not (signature.method or signature.signed_at or signature.shown):
        raise Invalid("unsigned", pointer="/signature")
    if read.body.id is None:
        raise Invalid("required", pointer="/id")
    given = Signing(
        signer=request.person,
        method=signature.method or SignatureMethod.OTHER,
        signed_at=signature.signed_at or request.now,
        shown=signature.shown or "",
        device=signature.device,
    )
    signing, codes = as_of_receipt(given, request.now)
    flags: list[Mapping[str, object]] = [*flags_of(read.odd)]
    flags += [{"code": code, "facts": {}} for code in codes]
    as_sent = AsSent(sent.text if flags else "", tuple(flags))
    return FieldAct(read.body.id, read.body, signing, as_sent, sent.text)


class OwnSignature(Body):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method: SignatureMethod
    signed_at: Instant
    shown: Annotated[str, Text(1000, multiline=True)]
    device: Annotated[str, Text(80)] = ""

    def signing(self, person: Person) -> Signing:
        return Signing(person, self.method, self.signed_at, self.shown, self.device)
