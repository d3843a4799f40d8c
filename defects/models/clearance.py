"""Clearances as given, what turned in them since, and what bars them."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q

from defects.enums import ClearanceAnswer
from defects.models.loads import Load
from fleet.models.base import Keyed, choices


class Clearance(Keyed):
    """One answer to dispatch's question, kept with everything it said. Asking is itself on record; never changed."""

    requested_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="clearances_requested")
    requested_at = models.DateTimeField()
    units = models.ManyToManyField("fleet.Unit", related_name="clearances")
    load = models.ForeignKey(Load, null=True, blank=True, on_delete=models.PROTECT, related_name="clearances")
    driver = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    departure = models.DateTimeField()
    arrival = models.DateTimeField()
    miles = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    us_states = ArrayField(models.CharField(max_length=2), default=list, db_default=[], blank=True)
    answer = models.CharField(max_length=24, choices=choices(ClearanceAnswer))
    reasons = models.JSONField()
    unknown = models.JSONField()
    left_open = models.JSONField(default=list)
    valid_until = models.DateTimeField(null=True, blank=True)
    first_to_end_it = models.JSONField(null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(arrival__gte=F("departure")), name="clearance_arrival_after_departure"),
        )
        indexes = (
            models.Index(fields=("-requested_at", "id"), name="clearance_newest"),
            models.Index(fields=("arrival",), name="clearance_by_arrival"),
        )

    def __str__(self) -> str:
        return f"{self.answer} at {self.requested_at:%Y-%m-%d %H:%M}"


class ClearanceChange(Keyed):
    """A time during which what a clearance did not bar was barred: `number` counts them for each clearance, from 1.

    `back_at`: when it was barred no more, or planned by no more.
    """

    clearance = models.ForeignKey(Clearance, on_delete=models.PROTECT, related_name="changes")
    number = models.PositiveSmallIntegerField()
    barred_at = models.DateTimeField()
    back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("clearance", "number"), name="clearance_change_numbered"),
            models.UniqueConstraint(
                fields=("clearance",), condition=Q(back_at__isnull=True), name="clearance_change_one_active"
            ),
            models.CheckConstraint(
                condition=Q(back_at__isnull=True) | Q(back_at__gte=F("barred_at")), name="clearance_change_back_after"
            ),
        )

    def __str__(self) -> str:
        return f"flip {self.number} of {self.clearance_id}"


class ActiveBar(Keyed):
    """A time during which one thing barred an answer that is still planned by; `bar` is its name from the rules."""

    clearance = models.ForeignKey(Clearance, on_delete=models.PROTECT, related_name="bars")
    bar = models.TextField()
    seen_at = models.DateTimeField()
    gone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("clearance", "bar"), condition=Q(gone_at__isnull=True), name="active_bar_once"
            ),
            models.CheckConstraint(
                condition=Q(gone_at__isnull=True) | Q(gone_at__gte=F("seen_at")), name="active_bar_gone_after"
            ),
        )

    def __str__(self) -> str:
        return self.bar
