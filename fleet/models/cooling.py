"""Readings of cooling units, and what is learned from them."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from fleet.enums import ReadingSource, ReadingState, RunningMode, TemperatureScale
from fleet.models.base import Keyed, choices


class CoolingReading(Keyed):
    """What a cooling unit showed at one time.

    Temperatures stand in °F with two decimals, which holds any tenth of a °C; `given_in` is the scale they were read
    in. Readings set aside teach nothing; `is_learned` of all others says whether their unit's forecast counts them.
    Hours are as shown, and enter no series of the unit's meters.
    """

    kept_once = True
    """See `common.compiled.insert`: what is on record already for a time and source stays."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="cooling_readings")
    read_at = models.DateTimeField()
    source = models.CharField(max_length=8, choices=choices(ReadingSource))
    given_in = models.CharField(max_length=4, choices=choices(TemperatureScale))
    mode = models.CharField(max_length=12, choices=choices(RunningMode), blank=True, default="")
    defrost = models.BooleanField(default=False)
    setpoint_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    return_air_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    supply_air_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    box_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    product_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    ambient_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    engine_h = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)
    standby_h = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)
    fuel_gal = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    fuel_added_gal = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    alarms = ArrayField(models.CharField(max_length=20), default=list, blank=True)
    state = models.CharField(max_length=12, choices=choices(ReadingState), default=ReadingState.ACCEPTED)
    flag = models.CharField(max_length=40, blank=True, default="")
    walkaround_id = models.UUIDField(null=True, blank=True)
    # What an older release stores it learns from by itself; so it did from what was there.
    is_learned = models.BooleanField(default=False, db_default=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("unit", "source", "read_at"), name="cooling_reading_once"),
            models.CheckConstraint(condition=Q(source__in=list(ReadingSource)), name="cooling_reading_source_known"),
        )
        indexes = (
            models.Index(fields=("unit", "-read_at", "-id"), name="cooling_reading_newest"),
            models.Index(fields=("unit",), condition=Q(is_learned=False), name="cooling_reading_to_learn"),
        )

    def __str__(self) -> str:
        return f"{self.unit_id} at {self.read_at:%Y-%m-%d %H:%M}"


class CoolingForecast(models.Model):
    """What is known of a cooling unit by its readings up to `newest_at`; what too few of them do not tell is null.

    Air and fuel are the newest that were read. `burn_spread` is in gallons for one hour; see
    `fleet.rules.cooling.fuel.Burn`, and `Lost` there for the `lost_` columns. `pull_down_tau_h` and `leakage_h` are
    time constants in hours.
    """

    unit = models.OneToOneField("fleet.Unit", primary_key=True, on_delete=models.PROTECT, related_name="forecast")
    readings = models.PositiveIntegerField()
    newest_at = models.DateTimeField(null=True, blank=True)
    air_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    air_at = models.DateTimeField(null=True, blank=True)
    fuel_gal = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    fuel_at = models.DateTimeField(null=True, blank=True)
    burn_gal_per_h = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    burn_spread = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    burn_h = models.DecimalField(max_digits=9, decimal_places=1, null=True, blank=True)
    burn_stretches = models.PositiveIntegerField(default=0)
    lost_gal = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    lost_gone_gal = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    lost_engine_h = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)
    lost_since = models.DateTimeField(null=True, blank=True)
    lost_until = models.DateTimeField(null=True, blank=True)
    pull_down_floor_f = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    pull_down_tau_h = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    pull_downs = models.PositiveIntegerField(default=0)
    leakage_h = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    leakage_per_month_h = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    warm_ups = models.PositiveIntegerField(default=0)
    air_drop_f = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    air_drop_least_f = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    air_drops = models.PositiveIntegerField(default=0)
    computed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"forecast of {self.unit_id}"
