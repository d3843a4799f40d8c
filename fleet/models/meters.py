"""Odometer and hour-meter readings of units, and the offsets of replaced meters."""

from django.db import models
from django.db.models import Q

from common.choices import choices
from fleet.enums import MeterKind, ReadingState
from fleet.models.base import Keyed
from fleet.models.units import Unit


class MeterReplacement(Keyed):
    """A meter was changed: from `replaced_at` on, true total = reading + `offset` (miles or hours)."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="meter_replacements")
    meter = models.CharField(max_length=12, choices=choices(MeterKind))
    offset = models.DecimalField(max_digits=12, decimal_places=1)
    replaced_at = models.DateTimeField()
    reason = models.TextField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = (models.Index(fields=("unit", "meter", "-replaced_at"), name="meter_replacement_newest"),)

    def __str__(self) -> str:
        return f"{self.unit_id} {self.meter} +{self.offset}"


class MeterReading(Keyed):
    """One reading as shown on the meter, its offset and the true total. Set-aside readings enter no series."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="meter_readings")
    meter = models.CharField(max_length=12, choices=choices(MeterKind))
    shown = models.DecimalField(max_digits=12, decimal_places=1)
    total = models.DecimalField(max_digits=12, decimal_places=1)
    read_at = models.DateTimeField()
    state = models.CharField(max_length=12, choices=choices(ReadingState), default=ReadingState.ACCEPTED)
    query = models.CharField(max_length=40, blank=True, default="")
    walkaround_id = models.UUIDField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(shown__gte=0), name="meter_reading_not_negative"),)
        indexes = (models.Index(fields=("unit", "meter", "-read_at"), name="meter_reading_newest"),)

    def __str__(self) -> str:
        return f"{self.unit_id} {self.meter} {self.shown}"
