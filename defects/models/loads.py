"""Loads, their scale tickets, and the records of those at risk."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q

from defects.enums import RiskCause, RiskEntryKind, RiskState, TemperatureClass
from fleet.enums import COOLING_MODES
from fleet.models.base import Edited, Keyed, choices


class Load(Edited):
    """What is to be carried, as the shipper ordered it in writing (21 CFR 1.908). Temperatures in °F.

    `seal_read` is what was read on the doors where it was another seal, until dispatch has decided.
    `pre_loaded`: the shipper fills the trailer before our driver comes. `trailer` is where it is, or is to be, loaded.
    `product_f` is the product's own temperature as it was loaded, while the doors stood open. Each of
    `overweight_permits` has a number, its State, its first and last day, and the pounds that it allows.
    """

    number = models.CharField(max_length=40, unique=True)
    temperature_class = models.CharField(max_length=24, choices=choices(TemperatureClass))
    food = models.BooleanField(default=True)
    setpoint_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    lowest_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    highest_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    mode = models.CharField(max_length=12, choices=choices(COOLING_MODES), blank=True, default="")
    weight_lb = models.PositiveIntegerField(null=True, blank=True)
    product_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    doors_opened_at = models.DateTimeField(null=True, blank=True)
    doors_closed_at = models.DateTimeField(null=True, blank=True)
    seal = models.CharField(max_length=40, blank=True, default="")
    pre_loaded = models.BooleanField(default=False)
    last_cargo = models.CharField(max_length=120, blank=True, default="")
    washout = models.CharField(max_length=120, blank=True, default="")
    us_states = ArrayField(models.CharField(max_length=2), default=list, blank=True)
    overweight_permits = models.JSONField(default=list, db_default=[], blank=True)
    trailer = models.ForeignKey("fleet.Unit", null=True, blank=True, on_delete=models.PROTECT, related_name="loads")
    pre_load_checked_at = models.DateTimeField(null=True, blank=True)
    seal_checked_at = models.DateTimeField(null=True, blank=True)
    seal_checked_by = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    seal_read = models.CharField(max_length=40, blank=True, default="")
    seal_read_at = models.DateTimeField(null=True, blank=True)
    seal_read_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    seal_decision = models.TextField(blank=True, default="")
    seal_decided_at = models.DateTimeField(null=True, blank=True)
    seal_decided_by = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    loaded_at = models.DateTimeField(null=True, blank=True)
    delivered_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancel_reason = models.TextField(blank=True, default="")
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(lowest_f__isnull=True) | Q(highest_f__isnull=True) | Q(highest_f__gte=F("lowest_f")),
                name="load_range_in_order",
            ),
            models.CheckConstraint(
                condition=Q(doors_opened_at__isnull=True)
                | Q(doors_closed_at__isnull=True)
                | Q(doors_closed_at__gte=F("doors_opened_at")),
                name="load_doors_closed_after_opening",
            ),
            models.CheckConstraint(
                condition=Q(temperature_class="dry") | Q(setpoint_f__isnull=False), name="load_cold_has_setpoint"
            ),
            models.CheckConstraint(
                condition=Q(loaded_at__isnull=True) | Q(trailer__isnull=False, cancelled_at__isnull=True),
                name="load_loaded_in_a_trailer",
            ),
            models.CheckConstraint(
                condition=Q(delivered_at__isnull=True) | Q(loaded_at__isnull=False, delivered_at__gte=F("loaded_at")),
                name="load_delivered_after_loading",
            ),
            models.CheckConstraint(
                condition=Q(seal_checked_at__isnull=True) | Q(seal_checked_by__isnull=False),
                name="load_seal_checked_by_someone",
            ),
            models.CheckConstraint(
                condition=Q(seal_read_at__isnull=True) | Q(seal_read_by__isnull=False), name="load_seal_read_by_someone"
            ),
            models.CheckConstraint(
                condition=Q(seal_decided_at__isnull=True) | Q(seal_decided_by__isnull=False),
                name="load_seal_decided_by_someone",
            ),
            models.UniqueConstraint(
                fields=("trailer",),
                condition=Q(loaded_at__isnull=False, delivered_at__isnull=True),
                name="load_one_in_a_trailer",
            ),
        )
        indexes = (models.Index(fields=("-recorded_at", "id"), name="load_newest"),)

    def __str__(self) -> str:
        return self.number


class LoadTemperature(models.Model):
    """How a cold load's air kept to its range since it was loaded, by the readings of its cooling unit (21 CFR 1.908).

    Degree-minutes outside (°F · min), the longest time outside in minutes with its end, and the minutes known.
    `too_long_until` is the last reading of the newest time outside that was longer than the carrier allows.
    """

    load = models.OneToOneField(Load, primary_key=True, on_delete=models.PROTECT, related_name="temperature")
    degree_min = models.PositiveIntegerField()
    longest_min = models.PositiveIntegerField()
    longest_until = models.DateTimeField(null=True, blank=True)
    known_min = models.PositiveIntegerField()
    too_long_until = models.DateTimeField(null=True, blank=True)
    computed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"temperature of {self.load_id}"


class LoadAtRisk(Edited):
    """A load that a fault or a temperature endangers: never a hold on movement. Its disposition ends it (21 CFR 1.908).

    `defect` is the fault that opened it; one that comes while it is open belongs to it as well. `cause` is the newest
    that is no fault, with the `facts` of its sentence, or else that fault; a decision from before `cause_at` knew
    nothing of it. `trailer` is where the load was then.
    """

    trailer = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="loads_at_risk")
    load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="at_risk")
    defect = models.ForeignKey(
        "defects.Defect", null=True, blank=True, on_delete=models.PROTECT, related_name="loads_at_risk"
    )
    cause = models.CharField(
        max_length=20, choices=choices(RiskCause), default=RiskCause.DEFECT, db_default=RiskCause.DEFECT
    )
    facts = models.JSONField(default=dict, db_default={})
    cause_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(max_length=8, choices=choices(RiskState), default=RiskState.OPEN)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    disposition = models.TextField(blank=True, default="")
    disposed_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    disposition_signature = models.OneToOneField(
        "fleet.Signature", null=True, blank=True, on_delete=models.PROTECT, related_name="disposition"
    )
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "loads at risk"
        constraints = (
            models.UniqueConstraint(fields=("load",), condition=Q(state=RiskState.OPEN), name="load_at_risk_one_open"),
            models.CheckConstraint(
                condition=Q(state=RiskState.OPEN) | Q(disposition_signature__isnull=False),
                name="load_at_risk_closed_is_signed",
            ),
            models.CheckConstraint(
                condition=Q(cause=RiskCause.DEFECT, defect__isnull=False)
                | (~Q(cause=RiskCause.DEFECT) & Q(cause_at__isnull=False)),
                name="load_at_risk_has_its_cause",
            ),
        )
        indexes = (models.Index(fields=("-opened_at", "id"), name="load_at_risk_newest"),)

    def __str__(self) -> str:
        return f"load at risk on {self.trailer_id}"


class RiskEntry(Keyed):
    """One reading (°F), call or decision about a load at risk, in order. Never changed."""

    risk = models.ForeignKey(LoadAtRisk, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=12, choices=choices(RiskEntryKind))
    at = models.DateTimeField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    text = models.TextField(blank=True, default="")
    return_air_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    product_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    recorded_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "risk entries"
        constraints = (models.CheckConstraint(condition=Q(kind__in=list(RiskEntryKind)), name="risk_entry_kind_known"),)

    def __str__(self) -> str:
        return f"{self.kind} at {self.at:%H:%M}"
