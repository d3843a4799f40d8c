"""The walk over one combination as the API shows it."""

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, Sha256Field, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.points.serializers import ConditionOut, MeasureOut, SourceOut, one_of, some_of
from defects.enums import Bars, Leg, Listing, Severity, Standing, WalkaroundKind
from defects.rules import fieldwork
from defects.rules.vocabulary import AnsweredBy, FailsWhen, PlaceType, System, Who
from fleet.api.serializers.names import UnitName


class LimitHereOut(StrictSerializer):
    """A limit that holds at this place today, with the grade of a value past it. `certain` as with a condition."""

    id = TextField(max_length=80)
    fails_when = one_of(FailsWhen)
    value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    low = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    high = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars), help_text="what it keeps the unit from until it is certified")
    listing = serializers.ChoiceField(choices=choices(Listing))
    certain = FlagField()
    source = SourceOut()  # type: ignore[assignment]  # a field may be called like an attribute of fields


class GradeHereOut(StrictSerializer):
    """How grave a condition is at this place. `certain` is false while it hangs on something not known yet."""

    code = TextField(max_length=40)
    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars), help_text="what it keeps the unit from until it is certified")
    listing = serializers.ChoiceField(choices=choices(Listing))
    certain = FlagField()


class LastValueOut(StrictSerializer):
    """The last value measured here and how many days ago that was."""

    value = DecimalString(max_digits=12, decimal_places=4)
    unit_of_measure = TextField(max_length=16)
    measured_at = InstantField()
    age_days = serializers.IntegerField()


class DefectHereOut(StrictSerializer):
    """An open defect at this place."""

    number = serializers.IntegerField()
    severity = serializers.ChoiceField(choices=choices(Severity))
    what = TextField(max_length=400)
    found_at = InstantField()


class PlaceOut(StrictSerializer):
    """One place of the unit at which the point is asked; empty for the whole unit.

    `answered_by`: whether a signature over the leg answers it, or only an answer of its own.
    """

    place = TextField(max_length=40)
    answered_by = one_of(AnsweredBy)
    words = TextField(max_length=120)
    limits = LimitHereOut(many=True)
    findings = GradeHereOut(many=True)
    last_value = LastValueOut(allow_null=True)
    open_defects = DefectHereOut(many=True)


class StopOut(StrictSerializer):
    """One point on one unit, in walking order. `may_answer`: whether this person's word that it is fine counts.

    Without places the unit's axles are not recorded: any place of `place_type` is taken.
    """

    unit = TextField(max_length=160)
    leg = one_of(Leg)
    point = TextField(max_length=80)
    title = TextField(max_length=200)
    ask = TextField(max_length=1000)
    caution = TextField(max_length=1000)
    standing = serializers.ChoiceField(choices=choices(Standing))
    system = one_of(System)
    place_type = one_of(PlaceType)
    who = one_of(Who)
    may_answer = FlagField()
    method = one_of(fieldwork.Method)
    tools = some_of(fieldwork.Tool)
    preconditions = some_of(fieldwork.Precondition)
    often = one_of(fieldwork.HowOften)
    measure = MeasureOut(allow_null=True)
    findings = ConditionOut(many=True)
    correctable = FlagField()
    optional = FlagField()
    behind_seal = FlagField()
    places = PlaceOut(many=True)


class LegOut(StrictSerializer):
    """One leg of a unit: sign for it in `looked_at` of the unit's report once it was looked at."""

    unit = TextField(max_length=160)
    leg = one_of(Leg)
    words = TextField(max_length=80)


class WalkOut(StrictSerializer):
    """What to look at on these units, in the order of the walk. `elsewhere` are open defects that no stop shows.

    `to_sign` is the sentence to be shown above the signature over the legs; send it as `signature.shown`.
    """

    catalogue = Sha256Field()
    kind = serializers.ChoiceField(choices=choices(WalkaroundKind))
    units = UnitName(many=True)
    coupled = FlagField()
    legs = LegOut(many=True)
    to_sign = TextField(max_length=400)
    stops = StopOut(many=True)
    elsewhere = DefectHereOut(many=True)
