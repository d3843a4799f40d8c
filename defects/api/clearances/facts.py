"""The facts of every reason and unknown, listed; each code has only its own."""

from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, TextField
from common.choices import choices
from defects.enums import Severity


class FactsOut(serializers.Serializer[Any]):
    """What a sentence is filled with. Only those of the code are there."""

    hold = serializers.CharField(required=False, help_text="number of the hold")
    reason = serializers.CharField(required=False, help_text="in the words of whoever placed the hold")
    defect = serializers.CharField(required=False, help_text="number of the defect")
    point = serializers.CharField(required=False, help_text="point, or the driver's words")
    place = serializers.CharField(required=False, allow_blank=True)
    finding = serializers.CharField(required=False, help_text="condition reported at the point")
    text = serializers.CharField(required=False, help_text="in the words of whoever found it")
    value = TextField(max_length=20, required=False, help_text="measured there")
    limit = TextField(max_length=20, required=False, help_text="figure that the value fails")
    unit_of_measure = serializers.CharField(required=False)
    severity = serializers.ChoiceField(choices=choices(Severity), required=False)
    defective = serializers.IntegerField(required=False, help_text="defective service brakes")
    brakes = serializers.IntegerField(required=False, help_text="service brakes of all the units")
    places = serializers.ListField(child=serializers.CharField(), required=False)
    points = serializers.ListField(
        child=serializers.CharField(), required=False, help_text="the first that have no answer, each with its place"
    )
    count = serializers.IntegerField(required=False, help_text="how many have no answer")
    refusal = serializers.UUIDField(required=False)
    reports = serializers.ListField(child=serializers.UUIDField(), required=False)
    certificates = serializers.ListField(child=serializers.UUIDField(), required=False)
    document = serializers.CharField(required=False, help_text="kind of document")
    state = serializers.CharField(required=False, help_text="the State that asks for it")
    starts_on = serializers.DateField(required=False)
    ends_by_day = serializers.DateField(required=False)
    ends_by_month_end = serializers.DateField(required=False)
    last_day = serializers.DateField(required=False)
    needed_until = InstantField(required=False)
    why = serializers.CharField(required=False)
    area = serializers.CharField(required=False)
    walked_at = InstantField(required=False)
    add_gal = serializers.IntegerField(required=False)
    reserve_gal = serializers.IntegerField(required=False, help_text="what the carrier keeps in the tank")
    more_than_the_tank_holds = serializers.BooleanField(required=False)
    seal_read = serializers.CharField(required=False, help_text="what was read on the doors")
    units = serializers.ListField(child=serializers.CharField(), required=False)
    limit_on = serializers.DateField(required=False, help_text="last day that the repair may wait")
    limit_mi = serializers.DecimalField(max_digits=12, decimal_places=1, required=False)
    limit_engine_h = serializers.DecimalField(max_digits=12, decimal_places=1, required=False)
    to_place = serializers.CharField(required=False, help_text="where a limited move may go")
    distance_mi = serializers.DecimalField(max_digits=6, decimal_places=1, required=False)
    ends_at = InstantField(required=False)
    name = serializers.CharField(required=False, help_text="who drives a limited move")
    conditions = serializers.CharField(required=False)
    order = serializers.CharField(required=False, help_text="number of the repair order")
    work = serializers.CharField(required=False, help_text="what is being done")
    undone = serializers.CharField(required=False, help_text="what was left undone, signed fit to move")
    load = serializers.CharField(required=False, help_text="number of the load")
    load_at_risk = serializers.UUIDField(required=False)
