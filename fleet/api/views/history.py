"""The history of one unit."""

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from fleet.api.base import ServiceViewSet
from fleet.api.filters import HistoryFilter
from fleet.api.names import unit_in_path
from fleet.api.requests import ServiceRequest
from fleet.api.roles import READERS_OF_HISTORY
from fleet.api.serializers.history import HistoryOut
from fleet.models import HistoryEntry


class HistoryViewSet(ServiceViewSet):
    """What happened to one unit, newest first."""

    roles = {"list": READERS_OF_HISTORY}
    filterset_class = HistoryFilter
    ordering = ("-sequence",)
    output = HistoryOut

    def get_queryset(self) -> QuerySet[HistoryEntry]:
        """Return the entries of the unit in the address."""
        entries = HistoryEntry.objects.select_related("actor", "content", "deletion")
        if self.being_described:
            return entries.none()
        return entries.filter(unit=unit_in_path(self.kwargs["ref"]))

    @extend_schema(responses=HistoryOut(many=True))
    def list(self, request: ServiceRequest, ref: str) -> Response:
        """Every entry of the unit's maintenance file (396.3), each linked to the one before it."""
        return self.listed()
