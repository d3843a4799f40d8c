"""The body of a walk-around as a phone sends it. What does not fit its form is kept and queried, never refused."""

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, Sha256Field, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.enums import WalkaroundKind
from fleet.enums import SignatureMethod, UnitKind

MAX_CHECKS = 400
MAX_REPORTS = 8
MAX_LEGS = 40
MAX_PHOTOS = 24
"""Far more than a combination has. An answer or a report beyond stands as a fault to be graded, see `reading`; how much
may be found wrong in all of them, `bounding` says."""


class CorrectionBody(StrictSerializer):
    """What was put right on the spot, by whom, and its photo. Where one is missing it is no correction and queried."""

    what = TextField(max_length=400, required=False, allow_blank=True)
    by = TextField(max_length=120, required=False, allow_blank=True)
    photo = Sha256Field(required=False)


class CheckBody(StrictSerializer):
    """One answer to one point. `value` goes with `unit_of_measure`; `reason` with `not_reached`."""

    point = TextField(max_length=80)
    place = TextField(max_length=40, required=False, allow_blank=True)
    answer = TextField(max_length=20, help_text="fine, defect, corrected, not_applicable or not_reached")
    value = TextField(max_length=20, required=False, allow_blank=True, help_text="a decimal number, as text")
    unit_of_measure = TextField(max_length=16, required=False, allow_blank=True)
    finding = TextField(max_length=40, required=False, allow_blank=True)
    note = TextField(max_length=1000, required=False, allow_blank=True, multiline=True)
    reason = TextField(max_length=20, required=False, allow_blank=True)
    listed = FlagField(
        required=False,
        default=False,
        help_text="the driver lists it: it would affect safety, or break the vehicle down",
    )
    correction = CorrectionBody(required=False)
    photos = serializers.ListField(child=Sha256Field(), required=False, max_length=MAX_PHOTOS)


class FaultBody(StrictSerializer):
    """A fault that no point describes, in the driver's own words."""

    text = TextField(max_length=1000, multiline=True)
    place = TextField(max_length=120, required=False, allow_blank=True)
    unsafe = FlagField(required=False, default=True, help_text="the driver's own opinion")
    photos = serializers.ListField(child=Sha256Field(), required=False, max_length=MAX_PHOTOS)


class MeterBody(StrictSerializer):
    """One meter as shown."""

    meter = TextField(max_length=12, help_text="odometer_mi, engine_h or standby_h")
    shown = TextField(max_length=16, help_text="miles or hours, as text")


class LookBody(StrictSerializer):
    """One leg of the walk that was looked at, as `/walk` lists it for this kind of walk, and when.

    It counts with its `at` within the walk, and with the `catalogue` that `/walk` gave in the walk-around; else it is
    queried.
    """

    leg = TextField(max_length=40)
    at = TextField(max_length=40, required=False, allow_blank=True, help_text="with its offset, by the device's clock")


class ReportBody(StrictSerializer):
    """One unit's report: a unit is named by its number, number@owner, or key.

    `looked_at`: the legs looked at, on which nothing is wrong but what the report lists. What is neither covered by a
    leg nor answered has no answer.
    """

    unit = TextField(max_length=160)
    checks = serializers.ListField(child=CheckBody(), required=False, max_length=MAX_CHECKS)
    faults = serializers.ListField(child=FaultBody(), required=False, max_length=40)
    meters = serializers.ListField(child=MeterBody(), required=False, max_length=6)
    looked_at = serializers.ListField(child=LookBody(), required=False, max_length=MAX_LEGS)


class UnitBody(StrictSerializer):
    """A unit of others met on the road; name it in a report as number@owner."""

    kind = serializers.ChoiceField(choices=choices(UnitKind))
    number = TextField(max_length=32)
    owner = TextField(max_length=120)
    vin = TextField(max_length=32, required=False, allow_blank=True)
    plate = TextField(max_length=16, required=False, allow_blank=True)
    plate_state = TextField(max_length=16, required=False, allow_blank=True)


class SignatureBody(StrictSerializer):
    """The driver's signature: `shown` is the sentence that stood above it."""

    method = serializers.ChoiceField(choices=choices(SignatureMethod))
    signed_at = InstantField()
    shown = TextField(max_length=1000, multiline=True)
    device = TextField(max_length=80, required=False, allow_blank=True)
    signer = TextField(max_length=64, required=False, allow_blank=True, help_text="only to say it is the one signed in")


class ConditionsBody(StrictSerializer):
    """The surroundings; what is left out is not known."""

    night = FlagField(required=False)
    raining = FlagField(required=False, help_text="rain or snow")
    loaded = FlagField(required=False)
    cold_load = FlagField(required=False)
    fuel_needed_gal = DecimalString(max_digits=6, decimal_places=1, min_value=0, required=False)


class WalkaroundBody(StrictSerializer):
    """A whole walk-around. `sent_at` is the device's clock at this sending, by which a wrong clock is put right.

    This is what is read as it was meant. What differs from it is kept and queried all the same, whatever stands in it:
    refused is only a body that is not JSON, too large, unsigned, or signed by another. A text left empty, and null, is
    one that was not given.
    """

    kind = serializers.ChoiceField(choices=choices(WalkaroundKind))
    started_at = InstantField()
    finished_at = InstantField()
    sent_at = InstantField(required=False)
    catalogue = Sha256Field(required=False, help_text="the list of checks that was walked by, as `/walk` gave it")
    site = TextField(max_length=24, required=False, allow_blank=True)
    team_mate = TextField(max_length=64, required=False, allow_blank=True)
    coupled = FlagField(required=False)
    conditions = ConditionsBody(required=False)
    units_of_others = serializers.ListField(child=UnitBody(), required=False, max_length=4)
    reports = serializers.ListField(child=ReportBody(), allow_empty=False, max_length=MAX_REPORTS)
    signature = SignatureBody()
