"""A point of the catalogue as the API shows it; see `words` for how it is filled."""

from enum import StrEnum

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, Sha256Field, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.enums import Bars, Evidence, Leg, Severity, Standing, WalkaroundKind
from defects.rules import fieldwork
from defects.rules.vocabulary import (
    Basis,
    FailsWhen,
    Language,
    PartGroup,
    PlaceType,
    RuleKind,
    System,
    UnitOfMeasure,
    Who,
)
from fleet.enums import AxleRole, UnitKind

LONG = 1000


def one_of(vocabulary: type[StrEnum]) -> serializers.ChoiceField:
    """A field that holds one word of a vocabulary."""
    return serializers.ChoiceField(choices=[str(word) for word in vocabulary])


def some_of(vocabulary: type[StrEnum]) -> serializers.ListField:
    """A field that holds several words of a vocabulary."""
    return serializers.ListField(child=one_of(vocabulary))


class SourceOut(StrictSerializer):
    """Where a figure or grade comes from and how that is known."""

    section = TextField(max_length=160)
    basis = one_of(Basis)


class ClauseOut(StrictSerializer):
    """One fact of a unit or a walk, and the values of it that a rule asks for; all clauses together must hold."""

    fact = TextField(max_length=40)
    values = serializers.ListField(child=TextField(max_length=40))


class RaiseOut(StrictSerializer):
    """A more severe grade where its clauses hold."""

    when = ClauseOut(many=True)
    severity = serializers.ChoiceField(choices=choices(Severity))


class MeasureOut(StrictSerializer):
    """What is measured; values outside minimum and maximum are queried."""

    quantity = TextField(max_length=160)
    unit_of_measure = one_of(UnitOfMeasure)
    minimum = DecimalString(max_digits=12, decimal_places=4)
    maximum = DecimalString(max_digits=12, decimal_places=4)
    decimals = serializers.IntegerField()
    required = FlagField()  # type: ignore[assignment]  # a field may be called like an attribute of fields


class LimitOut(StrictSerializer):
    """One limit: a fixed `value`, a range `low` to `high`, or a share of a figure of the unit or trip."""

    id = TextField(max_length=80)
    fails_when = one_of(FailsWhen)
    value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    low = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    high = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    share_percent = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    share_of = TextField(max_length=40)
    when = ClauseOut(many=True)
    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars))
    raised = RaiseOut(many=True)
    kind = one_of(RuleKind)
    source = SourceOut()  # type: ignore[assignment]  # a field may be called like an attribute of fields
    effective_from = serializers.DateField(allow_null=True)
    effective_until = serializers.DateField(allow_null=True)


class ConditionOut(StrictSerializer):
    """One condition that can be reported, in the person's language."""

    code = TextField(max_length=40)
    text = TextField(max_length=400, help_text="what is wrong, to be read after the thing and a colon")
    default = FlagField()
    source = SourceOut()  # type: ignore[assignment]  # a field may be called like an attribute of fields


class FindingOut(ConditionOut):
    """One condition with its grade. What the carrier raised everywhere is in it; `raised` hangs on facts of a unit."""

    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars))
    raised = RaiseOut(many=True)


class PointOut(StrictSerializer):
    """One line of the catalogue in the person's language."""

    name = TextField(max_length=80)
    title = TextField(max_length=200)
    thing = TextField(max_length=80, help_text="what is looked at, as the name of a defect begins")
    figure = TextField(max_length=80, help_text="what a value is of, where thing and unit of measure leave it open")
    ask = TextField(max_length=LONG)
    caution = TextField(max_length=LONG)
    put_right = TextField(max_length=LONG, help_text="what the driver does to end a fault; empty where the shop must")
    unit_kinds = serializers.ListField(child=serializers.ChoiceField(choices=choices(UnitKind)))
    standing = serializers.ChoiceField(choices=choices(Standing))
    part_group = one_of(PartGroup)
    system = one_of(System)
    leg = one_of(Leg)
    place_type = one_of(PlaceType)
    places = serializers.ListField(child=TextField(max_length=40))
    axle_roles = serializers.ListField(child=serializers.ChoiceField(choices=choices(AxleRole)))
    applies_when = ClauseOut(many=True)
    who = one_of(Who)
    for_trained_drivers = FlagField()
    method = one_of(fieldwork.Method)
    tools = some_of(fieldwork.Tool)
    preconditions = some_of(fieldwork.Precondition)
    often = one_of(fieldwork.HowOften)
    walks = serializers.ListField(child=serializers.ChoiceField(choices=choices(WalkaroundKind)))
    evidence = one_of(Evidence)
    measure = MeasureOut(allow_null=True)
    limits = LimitOut(many=True)
    findings = FindingOut(many=True)
    correctable = FlagField()
    optional = FlagField()
    behind_seal = FlagField()
    retired_on = serializers.DateField(allow_null=True)


class PointsOut(StrictSerializer):
    """The points asked for, in the order of the walk, and the hash that names the catalogue they are from."""

    catalogue = Sha256Field()
    language = one_of(Language)
    results = PointOut(many=True)
