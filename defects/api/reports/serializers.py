"""Reports as the API shows them: every check in plain words with its verdict."""

from rest_framework import serializers

from common.api.fields import FlagField, InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.points.serializers import one_of
from defects.api.signatures import OwnSignatureIn
from defects.api.walkarounds.receipts import LooksOut, QueriedOut
from defects.enums import CheckAnswer, DefectState, Outcome, Severity, WalkaroundKind
from fleet.api.serializers.names import PersonName, UnitName
from fleet.enums import SignatureMethod

REVIEW_STATES = ("owed", "reviewed", "not_owed")


class ReportOut(StrictSerializer):
    """One report as a list shows it. `unit` is null while `given_unit` names none that is known."""

    id = serializers.UUIDField()
    walkaround = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=choices(WalkaroundKind))
    unit = UnitName(allow_null=True)
    given_unit = TextField(max_length=160)
    unit_assigned_by = PersonName(allow_null=True, help_text="who said later which unit it is")
    driver = PersonName()
    team_mate = PersonName(allow_null=True)
    site = TextField(max_length=24)
    performed_at = InstantField()
    checks = serializers.IntegerField(help_text="how many")
    checks_deleted = FlagField(help_text="what it listed is past its days of keeping; its hashes and signature stay")
    findings = serializers.IntegerField(help_text="how many checks found something, free-text faults included")
    queried = serializers.IntegerField(help_text="how many things a foreman must look at")
    review = serializers.ChoiceField(choices=REVIEW_STATES)


class VerdictOut(StrictSerializer):
    """How one check was judged."""

    outcome = one_of(Outcome)
    rule = TextField(max_length=160)
    severity = serializers.ChoiceField(choices=choices(Severity), allow_null=True)
    limit_value = TextField(max_length=20, allow_null=True)
    source = TextField(  # type: ignore[assignment]  # a field may be called like an attribute of fields
        max_length=160, allow_null=True
    )


class CheckOut(StrictSerializer):
    """One check: the point in plain words, where, what was answered, and how it was judged."""

    point = TextField(max_length=80)
    thing = TextField(max_length=200, help_text="what was looked at, as a fault of it begins")
    place = TextField(max_length=40)
    where = TextField(max_length=120)
    answer = serializers.ChoiceField(choices=choices(CheckAnswer))
    value = TextField(max_length=20)
    unit_of_measure = TextField(max_length=16)
    finding = TextField(max_length=400, help_text="the condition found, in words")
    reason = TextField(max_length=20, help_text="why it was not reached")
    corrected = TextField(max_length=600, help_text="what was put right, and by whom")
    note = TextField(max_length=1000)
    photos = serializers.ListField(child=TextField(max_length=64))
    verdict = VerdictOut()


class FaultOut(StrictSerializer):
    """A fault in the driver's own words."""

    text = TextField(max_length=1000)
    place = TextField(max_length=120)
    photos = serializers.ListField(child=TextField(max_length=64))


class SignedOut(StrictSerializer):
    """The driver's signature. `content_hash` is the SHA-256 of what was signed."""

    signer = PersonName()
    method = serializers.ChoiceField(choices=choices(SignatureMethod))
    shown = TextField(max_length=1000)
    signed_at = InstantField()
    received_at = InstantField()
    content_hash = TextField(max_length=64)


class ReviewedOut(StrictSerializer):
    """One driver's review of the report."""

    person = PersonName()
    reviewed_at = InstantField()


class DefectOnReportOut(StrictSerializer):
    """A defect that the report opened or saw."""

    number = serializers.IntegerField()
    what = TextField(max_length=600)
    state = serializers.ChoiceField(choices=choices(DefectState))
    severity = serializers.ChoiceField(choices=choices(Severity))


class ReportPageOut(ReportOut):
    """One whole report."""

    catalogue = TextField(max_length=64)
    catalogue_known = FlagField()
    looks = LooksOut()
    items = CheckOut(many=True)
    faults = FaultOut(many=True)
    queries = QueriedOut(many=True)
    defects = DefectOnReportOut(many=True)
    signature = SignedOut()
    reviews = ReviewedOut(many=True)


class SetAsideBody(StrictSerializer):
    """Why, and your signature under it."""

    reason = TextField(max_length=1000, multiline=True)
    signature = OwnSignatureIn()


class SetAsideOut(StrictSerializer):
    """The report that answers are given without, and why."""

    report = serializers.UUIDField()
    reason = TextField(max_length=1000)
    set_aside_at = InstantField()
