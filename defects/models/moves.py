"""Moves of a barred unit: inside a site, and the one permitted on the road."""

from django.db import models
from django.db.models import F, Q

from fleet.models.base import Keyed


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
    """Permission for one trip to the nearest safe repair place (396.7(b)); never under an officer's order."""

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
