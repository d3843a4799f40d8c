"""A signature as a body brings it: that of whoever sends it."""

from typing import Annotated, Any

from rest_framework import serializers

from common.api.bodies import Body
from common.api.fields import InstantField, TextField
from common.api.serializers import StrictSerializer
from common.api.values import Instant, Text
from common.choices import choices
from defects.services.signatures import Signing
from fleet.enums import SignatureMethod
from fleet.models import Person


class OwnSignature(Body):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method: SignatureMethod
    signed_at: Instant
    shown: Annotated[str, Text(1000, multiline=True)]
    device: Annotated[str, Text(80)] = ""

    def signing(self, person: Person) -> Signing:
        """Return it as the signature of the person who sends it."""
        return Signing(person, self.method, self.signed_at, self.shown, self.device)


class OwnSignatureIn(StrictSerializer):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method = serializers.ChoiceField(choices=choices(SignatureMethod))
    signed_at = InstantField()
    shown = TextField(max_length=1000, multiline=True)
    device = TextField(max_length=80, required=False)


def own_signing(given: dict[str, Any], person: Person) -> Signing:
    """The signature of the person who sends it."""
    return Signing(
        signer=person,
        method=SignatureMethod(given["method"]),
        signed_at=given["signed_at"],
        shown=given["shown"],
        device=given.get("device", ""),
    )
