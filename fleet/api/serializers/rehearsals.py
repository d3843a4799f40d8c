"""An audit rehearsal as it is answered."""

from typing import Any

from rest_framework import serializers

from fleet.api.serializers.names import UnitName


class GapOut(serializers.Serializer[Any]):
    """One gap: its sentence, the rule's section, and where to look."""

    code = serializers.CharField()
    says = serializers.CharField()
    section = serializers.CharField()
    link = serializers.CharField()


class PulledOut(serializers.Serializer[Any]):
    """One unit that was pulled."""

    unit = UnitName()
    file = serializers.CharField(help_text="Where its file is.")
    gaps = GapOut(many=True)
    not_shown = GapOut(many=True, help_text="What the service cannot show; the papers themselves have to be at hand.")


class RehearsalOut(serializers.Serializer[Any]):
    """The pulls in their order. The same seed pulls the same units again."""

    seed = serializers.IntegerField()
    day = serializers.DateField()
    gaps = serializers.IntegerField(help_text="How many there are in all.")
    pulled = PulledOut(many=True)
