"""Signing links, what is signed by one, and confirmations of firms, as they are sent and shown."""

from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, Sha256Field, TextField, WholeField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.defects.bodies import MeasuredIn, measured_of
from defects.enums import Evidence, LinkState
from defects.services.signatures import BY_HAND
from defects.services.signing_links.outside_signing import OutsideSigner, Repaired
from fleet.api.serializers.names import PersonName, UnitName
from fleet.enums import SignatureMethod


class LinkBody(StrictSerializer):
    """Which defects somebody of another firm is to sign for (numbers or keys), or the refusal that waits for a look."""

    defects = serializers.ListField(child=TextField(max_length=36), allow_empty=False, max_length=20, required=False)
    refusal = serializers.UUIDField(required=False)


class LinkOut(StrictSerializer):
    """A signing link, without its token."""

    id = serializers.UUIDField()
    state = serializers.ChoiceField(choices=choices(LinkState))
    defects = serializers.ListField(child=serializers.IntegerField())
    refusal = serializers.UUIDField(allow_null=True)
    made_by = PersonName()
    made_at = InstantField()
    expires_at = InstantField()
    used_at = InstantField(allow_null=True)
    revoked_at = InstantField(allow_null=True)


class NewLinkOut(LinkOut):
    """A signing link that has just been made."""

    token = TextField(max_length=60, help_text="Whoever has it may sign once; told this once. Send it as Signing-Link.")


class LinkedDefectOut(StrictSerializer):
    """One defect to sign for: what was found, and what shows that it is repaired."""

    defect = serializers.IntegerField()
    unit = UnitName()
    what = TextField(max_length=600)
    found_at = InstantField()
    value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    limit = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    unit_of_measure = TextField(max_length=16)
    evidence = serializers.ChoiceField(choices=[str(word) for word in Evidence], help_text="besides the photo")
    of_brakes = FlagField(help_text="whether `brake_evidence` is asked of a signer without qualification on record")


class LinkedRefusalOut(StrictSerializer):
    """The refusal that waits for a second look."""

    unit = UnitName()
    reason = TextField(max_length=2000)
    refused_at = InstantField()


class OpenedLinkOut(StrictSerializer):
    """What a signer sees: for whom, until when, the defects, and the sentence to sign under."""

    carrier = TextField(max_length=160)
    made_by = TextField(max_length=120)
    expires_at = InstantField()
    defects = LinkedDefectOut(many=True)
    refusal = LinkedRefusalOut(allow_null=True)
    sentence = TextField(max_length=200)


class LinkedCertificateIn(StrictSerializer):
    """One defect that you repaired. `photo`: the hash of one sent by this link, of the work or of the invoice."""

    defect = WholeField(min_value=1, max_value=2**63 - 1)
    statement = TextField(max_length=2000, multiline=True)
    photo = Sha256Field()
    measured = MeasuredIn(required=False)


class HandSignatureIn(StrictSerializer):
    """Your signature, by hand: `shown` is the sentence that stood above it."""

    method = serializers.ChoiceField(choices=choices(BY_HAND))
    signed_at = InstantField()
    shown = TextField(max_length=1000, multiline=True)
    device = TextField(max_length=80, required=False)


class OutsiderBody(StrictSerializer):
    """Who signs for which firm."""

    name = TextField(max_length=120)
    firm = TextField(max_length=120)
    title = TextField(max_length=120, required=False, help_text="what you are there, in your words")
    brake_evidence = TextField(
        max_length=600, required=False, multiline=True, help_text="who at the firm keeps that of your qualification"
    )
    signature = HandSignatureIn()

    def signer(self) -> OutsideSigner:
        """Who signs, as a value."""
        given: dict[str, Any] = self.validated_data
        signature = given["signature"]
        return OutsideSigner(
            name=given["name"],
            firm=given["firm"],
            job_title=given.get("title", ""),
            brake_evidence=given.get("brake_evidence", ""),
            method=SignatureMethod(signature["method"]),
            signed_at=signature["signed_at"],
            shown=signature["shown"],
            device=signature.get("device", ""),
        )


class LinkedLookBody(OutsiderBody):
    """What you found at the unit that was refused."""

    finding = TextField(max_length=2000, multiline=True)
    looked_at = InstantField()


class LinkedSignatureBody(OutsiderBody):
    """What somebody of another firm signs for each defect that was repaired."""

    certificates = serializers.ListField(child=LinkedCertificateIn(), allow_empty=False, max_length=20)

    def repaired(self) -> list[Repaired]:
        """What is said of each defect, as values."""
        return [
            Repaired(item["defect"], item["statement"], item["photo"], measured_of(item))
            for item in self.validated_data["certificates"]
        ]


class LinkSignedOut(StrictSerializer):
    """What was signed: the numbers of the defects, and the firm while somebody else is to confirm it."""

    defects = serializers.ListField(child=serializers.IntegerField())
    firm_to_confirm = TextField(max_length=120)


class LookSignedOut(StrictSerializer):
    """The unit that was looked at."""

    unit = UnitName()
    finding = TextField(max_length=2000)


class FirmBody(StrictSerializer):
    """That a firm is what it says, how you found out, and who there keeps the evidence for brakes (396.25(e))."""

    firm = TextField(max_length=120)
    how = TextField(max_length=1000, multiline=True)
    brake_evidence = TextField(max_length=600, required=False, multiline=True)


class FirmOut(StrictSerializer):
    """One confirmation of a firm."""

    id = serializers.UUIDField()
    firm = TextField(max_length=120)
    how = TextField(max_length=1000)
    brake_evidence = TextField(max_length=600)
    confirmed_by = PersonName()
    confirmed_at = InstantField()
