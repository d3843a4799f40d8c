"""A signature as a body brings it, and whose it is."""

from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, TextField
from common.api.serializers import StrictSerializer
from common.errors import FieldProblem, Invalid
from defects.services.signing import Signing
from fleet.api.names import person_in_body
from fleet.enums import SignatureMethod
from fleet.models import Person
from fleet.services.outside_people import outside_person


class OwnSignatureIn(StrictSerializer):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method = serializers.ChoiceField(choices=SignatureMethod.choices)
    signed_at = InstantField()
    shown = TextField(max_length=1000, multiline=True)
    device = TextField(max_length=80, required=False)


class OutsideSignerIn(StrictSerializer):
    """Somebody of another firm, without a sign-in, who signs by hand on your device."""

    name = TextField(max_length=120)
    firm = TextField(max_length=120)
    title = TextField(max_length=120, required=False, allow_blank=True, default="")


class SignatureIn(OwnSignatureIn):
    """A signature; by somebody else only where that person has no sign-in: `signer` or `outside_signer`."""

    signer = serializers.UUIDField(required=False)
    outside_signer = OutsideSignerIn(required=False)


def own_signing(given: dict[str, Any], person: Person) -> Signing:
    """The signature of the person who sends it."""
    return Signing(
        signer=person,
        method=SignatureMethod(given["method"]),
        signed_at=given["signed_at"],
        shown=given["shown"],
        device=given.get("device", ""),
    )


def signing_of(given: dict[str, Any], person: Person) -> Signing:
    """The signature of whoever it names; Invalid `person_unknown`, `two_signers`."""
    outside, other = given.get("outside_signer"), given.get("signer")
    if outside is not None and other is not None:
        raise Invalid("two_signers", problems=[FieldProblem("/signature/outside_signer", "two_signers")])
    signer = person
    if outside is not None:
        signer = outside_person(**outside, actor=person)
    elif other is not None:
        signer = person_in_body(other, "/signature/signer")
    own = own_signing(given, person)
    return Signing(signer, own.method, own.signed_at, own.shown, own.device)
