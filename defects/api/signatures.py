"""A signature as a body brings it: that of whoever sends it."""

from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, TextField
from common.api.serializers import StrictSerializer
from defects.services.signing import Signing
from fleet.enums import SignatureMethod
from fleet.models import Person


class OwnSignatureIn(StrictSerializer):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method = serializers.ChoiceField(choices=SignatureMethod.choices)
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
