"""What is owed a review, the review itself, and how they are shown."""

from rest_framework import serializers

from common.api.fields import InstantField, TextField, UuidField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.signatures import OwnSignatureIn
from defects.enums import CertificateKind, DefectState, Severity, WalkaroundKind
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField

MAX_UNITS = 8


class ReviewBody(StrictSerializer):
    """One signing act for all units of the combination. Name exactly the reports and certificates that are owed."""

    id = UuidField(help_text="made by the phone; sent again, it gives the same review")
    units = serializers.ListField(child=UnitRefField(), allow_empty=False, max_length=MAX_UNITS)
    reports = serializers.ListField(child=UuidField(), max_length=200)
    certificates = serializers.ListField(child=UuidField(), max_length=200)
    signature = OwnSignatureIn()


class OwedReportOut(StrictSerializer):
    """A report that no driver has reviewed yet."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=choices(WalkaroundKind))
    driver = PersonName()
    performed_at = InstantField()


class OwedCertificateOut(StrictSerializer):
    """A certificate that no driver has seen yet."""

    id = serializers.UUIDField()
    defect = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=choices(CertificateKind))
    statement = TextField(max_length=2000)
    signed_by = PersonName()
    firm = TextField(max_length=120, help_text="that signed by a link; empty for the carrier's own people")
    certified_at = InstantField()


class OwedDefectOut(StrictSerializer):
    """A defect that is not ended."""

    number = serializers.IntegerField()
    what = TextField(max_length=600)
    state = serializers.ChoiceField(choices=choices(DefectState))
    severity = serializers.ChoiceField(choices=choices(Severity))


class OwedUnitOut(StrictSerializer):
    """What is owed for one unit. While `missing` names defects without a certificate, nobody may sign or drive."""

    unit = UnitName()
    says = TextField(max_length=600, help_text="what to do, in one sentence")
    reports = OwedReportOut(many=True)
    certificates = OwedCertificateOut(many=True)
    defects = OwedDefectOut(many=True, help_text="listed: each needs its certificate before the unit is driven again")
    missing = serializers.ListField(child=serializers.IntegerField())
    noted = OwedDefectOut(many=True, help_text="noted for the shop beside the list: nothing is owed for them")


class OwedOut(StrictSerializer):
    """What the next driver of these units owes a review of."""

    units = OwedUnitOut(many=True)


class ReviewedUnitOut(StrictSerializer):
    """One unit's part of a review."""

    unit = UnitName()
    reports = serializers.ListField(child=serializers.UUIDField())
    certificates = serializers.ListField(child=serializers.UUIDField())


class ReviewOut(StrictSerializer):
    """One signed review."""

    id = serializers.UUIDField()
    person = PersonName()
    reviewed_at = InstantField()
    recorded_at = InstantField()
    units = ReviewedUnitOut(many=True)
