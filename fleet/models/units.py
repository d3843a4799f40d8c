"""Units with their details and axles, what runs together from when until when, and meters."""

from datetime import datetime, timedelta

from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper

from fleet.enums import (
    AxleRole,
    BrakeActuator,
    BrakeType,
    Lining,
    Location,
    MeterKind,
    ReadingState,
    RunningMode,
    SteeringAssist,
    StrokeClass,
    UnitKind,
)
from fleet.models.base import Edited, Keyed, choices
from fleet.rules.units.description import CHAMBERS

CARRIED_OVER = timedelta(days=366)

CHAMBER_TYPES = tuple(dict.fromkeys(chamber for chambers in CHAMBERS.values() for chamber in chambers))


class Unit(Edited):
    """One vehicle or cooling unit. `owner` is empty for our own; a retired unit frees its number."""

    kind = models.CharField(max_length=16, choices=choices(UnitKind))
    number = models.CharField(max_length=32)
    owner = models.CharField(max_length=120, blank=True, default="")
    vin = models.CharField(max_length=17, blank=True, default="")
    serial = models.CharField(max_length=40, blank=True, default="")
    make = models.CharField(max_length=60, blank=True, default="")
    model_year = models.PositiveSmallIntegerField(null=True, blank=True)
    tire_size = models.CharField(max_length=24, blank=True, default="")
    plate = models.CharField(max_length=16, blank=True, default="")
    plate_state = models.CharField(max_length=2, blank=True, default="")
    home_site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="units")
    in_control_since = models.DateField(null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=list(UnitKind)), name="unit_kind_known"),
            models.UniqueConstraint(
                Upper("owner"), Upper("number"), condition=Q(retired_on__isnull=True), name="unit_owner_number_unique"
            ),
            models.UniqueConstraint(
                fields=("vin",), condition=Q(retired_on__isnull=True) & ~Q(vin=""), name="unit_vin_unique"
            ),
        )
        indexes = (
            models.Index(Upper("number"), name="unit_number_upper"),
            models.Index("number", "id", name="unit_in_order"),
        )

    def __str__(self) -> str:
        return f"{self.number}@{self.owner}" if self.owner else self.number

    @property
    def known_from(self) -> datetime:
        """The earliest instant of anything entered by hand: a year before the unit came on record.

        Our own default: what is older is kept elsewhere, by 396.9(d)(3)(ii) the longest of it for 12 months.
        """
        return self.recorded_at - CARRIED_OVER

    @property
    def ours(self) -> bool:
        """Whether the unit belongs to the carrier; a third-party unit must first be recorded in full."""
        return self.owner == ""


class TractorDetails(models.Model):
    """What only a tractor has. Lengths in inches, tank in gallons, the maker's lowest cut-in and highest cut-out.

    `fifth_wheel_to_rear_axle_in`: from where the kingpin locks to the center of the rearmost axle.
    """

    unit = models.OneToOneField(Unit, primary_key=True, on_delete=models.PROTECT, related_name="tractor")
    steering_wheel_diameter_in = models.PositiveSmallIntegerField(null=True, blank=True)
    steering_assist = models.CharField(max_length=8, choices=choices(SteeringAssist), blank=True, default="")
    governor_cut_in_psi = models.PositiveSmallIntegerField(null=True, blank=True)
    governor_cut_out_psi = models.PositiveSmallIntegerField(null=True, blank=True)
    fuel_tank_gal = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    gross_rating_lb = models.PositiveIntegerField(null=True, blank=True)
    fifth_wheel_to_rear_axle_in = models.PositiveSmallIntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return str(self.unit_id)


class TrailerDetails(models.Model):
    """What only a trailer has. Length in feet, weight in pounds, distances in inches.

    `kingpin_to_rear_axle_in` is to the center of the rearmost axle as the tandem stands now, `slider_hole_in` from one
    hole of the slider to the next.
    """

    unit = models.OneToOneField(Unit, primary_key=True, on_delete=models.PROTECT, related_name="trailer")
    length_ft = models.PositiveSmallIntegerField(null=True, blank=True)
    slider_pins = models.PositiveSmallIntegerField(null=True, blank=True)
    floor_drains = models.PositiveSmallIntegerField(null=True, blank=True)
    empty_weight_lb = models.PositiveIntegerField(null=True, blank=True)
    kingpin_to_rear_axle_in = models.PositiveSmallIntegerField(null=True, blank=True)
    slider_hole_in = models.PositiveSmallIntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return str(self.unit_id)


class CoolingUnitDetails(models.Model):
    """What only a cooling unit has. Tank in gallons, burn rate in gallons an hour."""

    unit = models.OneToOneField(Unit, primary_key=True, on_delete=models.PROTECT, related_name="cooling_unit")
    tank_gal = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    unusable_gal = models.DecimalField(max_digits=4, decimal_places=1, default=0)
    burn_gal_per_h = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)

    def __str__(self) -> str:
        return str(self.unit_id)


class Axle(Keyed):
    """One axle, numbered from the front of its own unit, with what its brakes and tires are.

    Without an actuator it is taken for one with clamp-type chambers, the usual ones. `spacing_in` is from the center of
    the axle ahead of it on the unit, in inches; `tire_rating_lb` what each tire may carry as it is mounted, single or
    dual, in pounds.
    """

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="axles")
    number = models.PositiveSmallIntegerField()
    role = models.CharField(max_length=8, choices=choices(AxleRole))
    dual = models.BooleanField()
    brake_type = models.CharField(max_length=8, choices=choices(BrakeType), blank=True, default="")
    actuator = models.CharField(max_length=12, choices=choices(BrakeActuator), blank=True, default="")
    chamber_type = models.CharField(max_length=4, blank=True, default="")
    stroke_class = models.CharField(max_length=12, choices=choices(StrokeClass), blank=True, default="")
    rated_stroke_in = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    marked_limit_in = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    lining = models.CharField(max_length=12, choices=choices(Lining), blank=True, default="")
    drum_limit_in = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    rotor_limit_in = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    tire_size = models.CharField(max_length=24, blank=True, default="")
    target_psi = models.PositiveSmallIntegerField(null=True, blank=True)
    max_psi = models.PositiveSmallIntegerField(null=True, blank=True)
    load_psi = models.PositiveSmallIntegerField(null=True, blank=True)
    spacing_in = models.PositiveSmallIntegerField(null=True, blank=True)
    tire_rating_lb = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("unit", "number"), name="axle_number_unique"),
            models.CheckConstraint(condition=Q(number__gte=1) & Q(number__lte=12), name="axle_number_range"),
            models.CheckConstraint(
                condition=Q(chamber_type="") | Q(chamber_type__in=CHAMBER_TYPES), name="axle_chamber_known"
            ),
            models.CheckConstraint(
                condition=Q(max_psi__isnull=True) | Q(target_psi__isnull=True) | Q(target_psi__lte=F("max_psi")),
                name="axle_target_within_max",
            ),
        )

    def __str__(self) -> str:
        return f"{self.unit_id} axle {self.number}"


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
    flag = models.CharField(max_length=40, blank=True, default="")
    walkaround_id = models.UUIDField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(shown__gte=0), name="meter_reading_not_negative"),)
        indexes = (models.Index(fields=("unit", "meter", "-read_at"), name="meter_reading_newest"),)

    def __str__(self) -> str:
        return f"{self.unit_id} {self.meter} {self.shown}"


class Whereabouts(Keyed):
    """Where a unit is from an instant on, and how it was left there; the newest counts. Never changed.

    What nobody told is null or empty. `walkaround_id` is the walk-around that says so; without one it was a person.
    """

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="whereabouts")
    location = models.CharField(max_length=12, choices=choices(Location))
    site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    address = models.CharField(max_length=200, blank=True, default="")
    since = models.DateTimeField()
    legs_down = models.BooleanField(null=True, blank=True)
    doors_closed = models.BooleanField(null=True, blank=True)
    mode = models.CharField(max_length=12, choices=choices(RunningMode), blank=True, default="")
    fuel_gal = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    seal = models.CharField(max_length=40, blank=True, default="")
    note = models.TextField(blank=True, default="")
    walkaround_id = models.UUIDField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = (models.Index(fields=("unit", "-since", "-id"), name="whereabouts_newest"),)

    def __str__(self) -> str:
        return f"{self.unit_id} {self.location}"
