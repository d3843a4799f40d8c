"""Which casing stands where on a unit, from when until when."""

from django.db import models
from django.db.models import F, Q

from fleet.models.base import Keyed


class TireMounting(Keyed):
    """A casing, named by its serial, at a place of a unit from an instant to another; its treads there are of it."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="tire_mountings")
    place = models.CharField(max_length=40)
    casing = models.CharField(max_length=40)
    mounted_at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(removed_at__isnull=True) | Q(removed_at__gte=F("mounted_at")),
                name="tire_removed_after_mounting",
            ),
            models.UniqueConstraint(
                fields=("unit", "place"), condition=Q(removed_at__isnull=True), name="tire_one_at_a_place"
            ),
            models.UniqueConstraint(fields=("casing",), condition=Q(removed_at__isnull=True), name="tire_at_one_place"),
        )
        indexes = (models.Index(fields=("casing", "mounted_at"), name="tire_mounting_series"),)

    def __str__(self) -> str:
        return f"{self.casing} at {self.place}"
