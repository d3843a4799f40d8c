"""Combinations and mountings, as taken and as given."""

from datetime import datetime
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common.api.fields import InstantField
from common.api.serializers import StrictSerializer
from fleet.api.serializers.names import UnitName, UnitRefField
from fleet.models import Coupling, Mounting
from fleet.rules.units.combinations import MAX_TRAILERS
from fleet.states import coupling_state, mounting_state
from fleet.transitions import COUPLING, MOUNTING


class CouplingBody(StrictSerializer):
    """Which units run together, and since when."""

    units = serializers.ListField(child=UnitRefField(), min_length=2, max_length=1 + MAX_TRAILERS)
    started_at = InstantField()


class EndedAtBody(StrictSerializer):
    """When it ended."""

    ended_at = InstantField()


class MountingBody(StrictSerializer):
    """Which cooling unit sits on which trailer, and since when."""

    trailer = UnitRefField()
    cooling_unit = UnitRefField()
    started_at = InstantField()


class CouplingOut(serializers.Serializer[Any]):
    """A combination; `took_over` and `taken_over` say that a driver had units that were recorded elsewhere."""

    id = serializers.UUIDField()
    units = serializers.SerializerMethodField()
    started_at = serializers.DateTimeField()
    ended_at = serializers.DateTimeField(allow_null=True)
    took_over = serializers.BooleanField()
    taken_over = serializers.BooleanField()
    recorded_at = serializers.DateTimeField()
    allowed_actions = serializers.SerializerMethodField()

    @extend_schema_field(UnitName(many=True))
    def get_units(self, coupling: Coupling) -> Any:
        """Return the units, the tractor first."""
        units = sorted((member.unit for member in coupling.members.all()), key=lambda unit: (unit.kind, unit.number))
        return UnitName(units, many=True).data

    def get_allowed_actions(self, coupling: Coupling) -> list[str]:
        """Return what the caller may do with it now."""
        return COUPLING.allowed_actions(coupling_state(coupling), self.context["roles"])


class MountingOut(serializers.Serializer[Any]):
    """A cooling unit on a trailer."""

    id = serializers.UUIDField()
    trailer = UnitName(source="trailer.unit")
    cooling_unit = UnitName(source="cooling_unit.unit")
    started_at = serializers.SerializerMethodField()
    ended_at = serializers.SerializerMethodField()
    recorded_at = serializers.DateTimeField()
    allowed_actions = serializers.SerializerMethodField()

    @extend_schema_field({"type": "string", "format": "date-time"})
    def get_started_at(self, mounting: Mounting) -> str:
        """Return since when it is there."""
        return InstantField().to_representation(mounting.span.lower)

    @extend_schema_field({"type": ["string", "null"], "format": "date-time"})
    def get_ended_at(self, mounting: Mounting) -> str | None:
        """Return when it was taken off; null while it is there."""
        end: datetime | None = mounting.span.upper
        return None if end is None else InstantField().to_representation(end)

    def get_allowed_actions(self, mounting: Mounting) -> list[str]:
        """Return what the caller may do with it now."""
        return MOUNTING.allowed_actions(mounting_state(mounting), self.context["roles"])
