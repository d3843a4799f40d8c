"""Drivers' signatures that repairs were made (396.13)."""

from django.db import models

from fleet.models.base import Keyed


class DriverReview(Keyed):
    """One signing act over one unit's reports and certificates; the acts of a combination share their signature."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="driver_reviews")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="driver_reviews")
    signature = models.ForeignKey("fleet.Signature", on_delete=models.PROTECT, related_name="driver_reviews")
    reports = models.ManyToManyField("defects.Report", related_name="driver_reviews")
    certificates = models.ManyToManyField("defects.Certificate", related_name="driver_reviews")
    reviewed_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    class Meta:
        indexes = (models.Index(fields=("unit", "-reviewed_at"), name="driver_review_unit_newest"),)

    def __str__(self) -> str:
        return f"review of {self.unit_id} by {self.person_id}"
