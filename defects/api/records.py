"""What signed bodies share: whose signature, in which zone, what is flagged. A walk-around's own body is elsewhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Generic, Self, TypeVar
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.parsers import sent_object
from common.api.signed_bodies import Expected, SignedBody, flags_of
from common.api.signed_reading import is_signed, read_signed
from common.api.values import Instant, Text, Uuid
from common.canonical import canonical_json, sha256_hex
from common.errors import Invalid
from defects.selectors.defects.naming import flag_sentence
from defects.selectors.records.act_flags import ActFlags
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
        return replace(self.sent, text=self.text, flags=(*self.sent.flags, *flags)) if flags else self.sent


def field_act(body: type[A], request: ServiceRequest) -> FieldAct[A]:
    """Read it; Invalid `unsigned`, and at `/id` `required` for one without a name."""
    sent = sent_object(request)
    read = read_signed(body, sent, zone_of)
    signature = read.body.signature
    if signature is None or not is_signed(read):
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
    as_sent = AsSent(sha256_hex(canonical_json(sent)), sent.text if flags else "", tuple(flags))
    return FieldAct(read.body.id, read.body, signing, as_sent, sent.text)


class ActFlagAnswer(Answer):
    """Something odd in a review or a refusal, kept as signed; the foreman looks at it."""

    code: str
    detail: str

    @classmethod
    def of_act(cls, flags: ActFlags, act: UUID, language: str) -> list[Self]:
        """Return what is flagged about an act, in a language."""
        return [
            cls(code=item["code"], detail=flag_sentence(item["code"], item["facts"], language))
            for item in flags.get(act, ())
        ]


class OwnSignature(Body):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method: SignatureMethod
    signed_at: Instant
    shown: Annotated[str, Text(1000, multiline=True)]
    device: Annotated[str, Text(80)] = ""

    def signing(self, person: Person) -> Signing:
        return Signing(person, self.method, self.signed_at, self.shown, self.device)
