"""Moves of a barred unit: inside a site, and the one permitted on the road."""

from datetime import datetime

from django.db import models
from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from fleet.enums import MeterKind, ReadingState
from fleet.models.base import Keyed
from fleet.models.units import MeterReading


class YardMove(Keyed):
    """A move on private ground to the bay, while the unit is barred. Recorded, never an override."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="yard_moves")
    site = models.ForeignKey("fleet.Site", on_delete=models.PROTECT, related_name="+")
    from_place = models.CharField(max_length=120)
    to_place = models.CharField(max_length=120)
    reason = models.TextField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    moved_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"yard move of {self.unit_id}"


class LimitedMove(Keyed):
    """Permission for one trip to the nearest safe repair place (396.7(b)); never under an officer's order.

    `from_mi` is the true total of the odometer where the unit was found; null where nobody read one there.
    """

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="limited_moves")
    found_at_place = models.CharField(max_length=200)
    to_place = models.CharField(max_length=200)
    distance_mi = models.DecimalField(max_digits=6, decimal_places=1)
    why_nearest = models.TextField()
    why_less_hazardous = models.TextField()
    driver = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="limited_moves")
    driver_consented_at = models.DateTimeField()
    conditions = models.TextField(blank=True, default="")
    approved_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    approved_at = models.DateTimeField()
    from_mi = models.DecimalField(max_digits=12, decimal_places=1, null=True, blank=True)
    ends_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    end_note = models.TextField(blank=True, default="")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(ends_at__gt=F("approved_at")), name="limited_move_ends_after_start"),
            models.CheckConstraint(condition=Q(distance_mi__gt=0), name="limited_move_distance"),
        )

    def __str__(self) -> str:
        return f"limited move of {self.unit_id}"


def with_miles(moves: QuerySet[LimitedMove], at: datetime) -> QuerySet[LimitedMove]:
    """The moves with `driven_mi`, what the odometer was driven since they began; null where it was not read."""
    since = odometer_readings().filter(unit=OuterRef("unit"), read_at__gte=OuterRef("approved_at"), read_at__lte=at)
    return moves.annotate(driven_mi=Subquery(since.values("total")[:1]) - F("from_mi"))


def odometer_readings() -> QuerySet[MeterReading]:
    """The accepted readings of odometers, newest first."""
    accepted = MeterReading.objects.filter(meter=MeterKind.ODOMETER_MI, state=ReadingState.ACCEPTED)
    return accepted.order_by("-read_at", "-total")
