"""Which units run together and which cooling unit sits on which trailer, as half-open spans that never overlap."""

from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models

from fleet.models.base import Keyed
from fleet.models.units import CoolingUnitDetails, TrailerDetails, Unit


class Coupling(Keyed):
    """A combination from a time to a time. Flagged when a driver took over a unit recorded elsewhere."""

    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    took_over = models.BooleanField(default=False)
    taken_over = models.BooleanField(default=False)

    def __str__(self) -> str:
        return f"coupling {self.id}"


class CouplingMember(Keyed):
    """One unit's part in a coupling. The database refuses two overlapping spans of one unit."""

    coupling = models.ForeignKey(Coupling, on_delete=models.PROTECT, related_name="members")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="coupling_spans")
    span = DateTimeRangeField()

    class Meta:
        constraints = (
            ExclusionConstraint(
                name="coupling_member_no_overlap",
                expressions=(("unit", RangeOperators.EQUAL), ("span", RangeOperators.OVERLAPS)),
            ),
        )

    def __str__(self) -> str:
        return f"{self.unit_id} in {self.coupling_id}"


class Mounting(Keyed):
    """A cooling unit on a trailer. The foreign keys name the detail tables, so the kinds cannot be mixed up."""

    trailer = models.ForeignKey(TrailerDetails, on_delete=models.PROTECT, related_name="mountings")
    cooling_unit = models.ForeignKey(CoolingUnitDetails, on_delete=models.PROTECT, related_name="mountings")
    span = DateTimeRangeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            ExclusionConstraint(
                name="mounting_trailer_no_overlap",
                expressions=(("trailer", RangeOperators.EQUAL), ("span", RangeOperators.OVERLAPS)),
            ),
            ExclusionConstraint(
                name="mounting_cooling_unit_no_overlap",
                expressions=(("cooling_unit", RangeOperators.EQUAL), ("span", RangeOperators.OVERLAPS)),
            ),
        )

    def __str__(self) -> str:
        return f"{self.cooling_unit_id} on {self.trailer_id}"
