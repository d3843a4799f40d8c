"""What is checked of a walk-around, nested as its body is, and what its receipt shows."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from rest_framework import serializers

from tests.benchmarks.peer.models import Point, Report, Unit, Walkaround

ANSWERS = ("fine", "defect", "not_applicable", "not_reached")


@cache
def points_of(kind: str) -> Mapping[tuple[str, str], Point]:
    """The catalogue changes with a release only, so each process reads it once."""
    return {(point.code, point.place): point for point in Point.objects.filter(kind=kind)}


class CheckSerializer(serializers.Serializer[Any]):
    point = serializers.CharField(max_length=80)
    place = serializers.CharField(max_length=40, required=False, allow_blank=True, default="")
    answer = serializers.ChoiceField(choices=ANSWERS)
    value = serializers.DecimalField(max_digits=12, decimal_places=4, required=False, coerce_to_string=False)
    unit_of_measure = serializers.CharField(max_length=16, required=False)
    note = serializers.CharField(max_length=1000, required=False, allow_blank=True)


class LookSerializer(serializers.Serializer[Any]):
    leg = serializers.CharField(max_length=40)
    at = serializers.DateTimeField()


class ReportSerializer(serializers.Serializer[Any]):
    unit = serializers.SlugRelatedField(slug_field="number", queryset=Unit.objects.filter(retired=False))
    checks = CheckSerializer(many=True)
    looked_at = LookSerializer(many=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        points = points_of(attrs["unit"].kind)
        legs = {look["leg"] for look in attrs["looked_at"]}
        if unknown := legs - {point.leg for point in points.values()}:
            raise serializers.ValidationError({"looked_at": f"Unknown legs: {', '.join(sorted(unknown))}."})
        answered = set()
        for check in attrs["checks"]:
            place = check["point"], check["place"]
            if place not in points or place in answered:
                raise serializers.ValidationError({"checks": f"Unknown or doubled: {' '.join(place)}."})
            _check_value(check, points[place])
            answered.add(place)
        covered = {place for place, point in points.items() if point.by_leg and point.leg in legs}
        asked = {place for place, point in points.items() if point.asked}
        if missing := asked - answered - covered:
            raise serializers.ValidationError({"checks": f"Not answered: {sorted(missing)}."})
        attrs["answered"] = len(answered | covered)
        return attrs


def _check_value(check: Mapping[str, Any], point: Point) -> None:
    if point.minimum is None or point.maximum is None or check["answer"] != "fine":
        return
    if "value" not in check or "unit_of_measure" not in check:
        raise serializers.ValidationError({"checks": f"{point.code} is measured."})
    if not point.minimum <= check["value"] <= point.maximum:
        raise serializers.ValidationError({"checks": f"{point.code} is out of its limits."})


class SignatureSerializer(serializers.Serializer[Any]):
    method = serializers.ChoiceField(choices=("drawn", "typed"))
    signed_at = serializers.DateTimeField()
    shown = serializers.CharField()


class WalkaroundSerializer(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=("pre_trip", "en_route", "post_trip"))
    started_at = serializers.DateTimeField()
    finished_at = serializers.DateTimeField()
    coupled = serializers.BooleanField()
    catalogue = serializers.RegexField("^[0-9a-f]{64}$")
    reports = ReportSerializer(many=True, allow_empty=False)
    signature = SignatureSerializer()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["finished_at"] < attrs["started_at"]:
            raise serializers.ValidationError({"finished_at": "Before it began."})
        if len({report["unit"] for report in attrs["reports"]}) < len(attrs["reports"]):
            raise serializers.ValidationError({"reports": "A unit has two reports."})
        return attrs


class ReportReceipt(serializers.ModelSerializer[Report]):
    unit: serializers.Field[Any, Any, Any, Any] = serializers.SlugRelatedField(slug_field="number", read_only=True)

    class Meta:
        model = Report
        fields = ("id", "unit", "answered", "sound", "looked_at")


class Receipt(serializers.ModelSerializer[Walkaround]):
    reports = ReportReceipt(many=True, read_only=True)

    class Meta:
        model = Walkaround
        fields = ("id", "kind", "started_at", "finished_at", "received_at", "reports")
