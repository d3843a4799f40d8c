"""Defects as the API shows them."""

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, Sha256Field, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.enums import (
    Authority,
    Bars,
    CertificateKind,
    DefectState,
    Evidence,
    HoldKind,
    Listing,
    Severity,
    SightingHow,
)
from fleet.api.serializers.names import PersonName, UnitName


class DefectOut(StrictSerializer):
    """One defect as a list shows it. `limit` and `value` are in `unit_of_measure`."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    unit = UnitName()
    what = TextField(max_length=600, help_text="the fault in one line, in your language")
    point = TextField(max_length=80)
    place = TextField(max_length=40)
    state = serializers.ChoiceField(choices=choices(DefectState))
    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars))
    standing = serializers.ChoiceField(choices=choices(Authority))
    listing = serializers.ChoiceField(
        choices=choices(Listing), help_text="why it needs its certificate before the unit is driven again, or `noted`"
    )
    graded = FlagField()
    value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    limit = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    unit_of_measure = TextField(max_length=16)
    rule = TextField(max_length=120)
    source = TextField(max_length=160)  # type: ignore[assignment]  # a field may be called like an attribute of fields
    found_by = PersonName()
    found_at = InstantField()
    repair_order = serializers.IntegerField(allow_null=True)
    expected_at = InstantField(allow_null=True)
    comeback_of = serializers.IntegerField(allow_null=True)


class SightingOut(StrictSerializer):
    """One finding of the fault."""

    how = serializers.ChoiceField(choices=choices(SightingHow))
    person = PersonName()
    seen_at = InstantField()
    report = serializers.UUIDField(allow_null=True)
    severity = serializers.ChoiceField(choices=choices(Severity))
    value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    unit_of_measure = TextField(max_length=16)
    note = TextField(max_length=1000)


class CertificateOut(StrictSerializer):
    """One certificate. `flags` tell a reader: by a driver as the carrier's agent, on the spot, by a link.

    Somebody of another firm signs by a link that one of `worked_by` made, who so has a part in it.
    """

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=choices(CertificateKind))
    statement = TextField(max_length=2000)
    signed_by = PersonName()
    firm = TextField(max_length=120, help_text="that signed by a link; empty for the carrier's own people")
    brake_evidence = TextField(max_length=600, help_text="who at the firm keeps that of the signer's qualification")
    worked_by = PersonName(many=True)
    certified_at = InstantField()
    limit_on = serializers.DateField(allow_null=True)
    limit_mi = DecimalString(max_digits=12, decimal_places=1, allow_null=True)
    limit_engine_h = DecimalString(max_digits=12, decimal_places=1, allow_null=True)
    after_value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    photo_sha256 = TextField(max_length=64)
    agent_reason = TextField(max_length=600)
    flags = serializers.ListField(child=serializers.ChoiceField(choices=("driver_as_agent", "on_the_spot", "by_link")))
    in_force = FlagField()
    superseded = FlagField()


class HoldShortOut(StrictSerializer):
    """A hold in short."""

    number = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=choices(HoldKind))
    placed_at = InstantField()
    lifted_at = InstantField(allow_null=True)


class PhotoOut(StrictSerializer):
    """A photo that a signed report names; it may still be on its way from the phone."""

    sha256 = Sha256Field()
    url = TextField(max_length=200)


class RepeatedTestOut(StrictSerializer):
    """A test that somebody repeated."""

    person = PersonName()
    passed = FlagField()
    note = TextField(max_length=2000)
    tested_at = InstantField()


class EntryInErrorOut(StrictSerializer):
    """Who signed that it never was a defect, and who showed it by what."""

    entered_by = PersonName()
    reason = TextField(max_length=2000)
    shown_by = PersonName()
    by = serializers.ChoiceField(choices=("measurement", "photo", "repeated_test", "look"))
    entered_at = InstantField()


class DefectPageOut(DefectOut):
    """One defect with everything that hangs on it and what you may do now."""

    regulation_severity = TextField(max_length=16, help_text="what no regrade may go below; empty without a rule")
    catalogue = TextField(max_length=64)
    roadside_inspection = serializers.UUIDField(allow_null=True)
    text = TextField(max_length=2000, help_text="the finder's own words")
    caution = TextField(max_length=1000)
    put_right = TextField(max_length=1000, help_text="what the driver does to end it; empty where the shop must")
    evidence = serializers.ChoiceField(choices=[str(word) for word in Evidence], help_text="what a certificate needs")
    sightings = SightingOut(many=True)
    certificates = CertificateOut(many=True)
    holds = HoldShortOut(many=True)
    photos = PhotoOut(many=True)
    repeated_tests = RepeatedTestOut(many=True)
    entry_in_error = EntryInErrorOut(allow_null=True)
    comebacks = serializers.ListField(child=serializers.IntegerField())
    allowed_actions = serializers.ListField(child=TextField(max_length=40))
