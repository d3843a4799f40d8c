"""Open faults of units and every later finding of the same fault. Moves between states live in services."""

from datetime import datetime, timedelta

from django.db import models
from django.db.models import Q

from common.compiled import Parameter
from defects.enums import (
    OPEN_DEFECT_STATES,
    Authority,
    Bars,
    CertificateKind,
    DefectState,
    Listing,
    Severity,
    SightingHow,
)
from fleet.models.base import Edited, Keyed, Sequence, choices

NEWLY_REPAIRED = timedelta(days=7)
"""Our own default: how long after its certificate a repaired place is looked at by itself, reviewed or not.

A driver answers such places one by one and not by signing for the leg.
"""


def newly_repaired(since: datetime | Parameter) -> Q:
    """What finds the defects that were certified repaired since then, and those whose review is still due."""
    closed = Q(
        state=DefectState.CLOSED,
        current_certificate__kind=CertificateKind.REPAIRED,
        current_certificate__certified_at__gte=since,
    )
    return Q(state=DefectState.CERTIFIED) | closed


class Defect(Edited):
    """One open fault: unit, point and place (or free text, which a foreman must grade).

    What the shop says of it (order, expected time, who worked since it was last certified) is written here by
    workorders through services. `roadside` is the newest officer's report that notes it; its lines name the defect.
    """

    number = models.BigIntegerField(unique=True, db_default=Sequence("defects_defect_number"))
    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="defects")
    point = models.CharField(max_length=80, blank=True, default="")
    place = models.CharField(max_length=40, blank=True, default="")
    text = models.TextField(blank=True, default="")
    finding = models.CharField(max_length=40, blank=True, default="")
    authority = models.CharField(max_length=12, choices=choices(Authority))
    state = models.CharField(max_length=20, choices=choices(DefectState), default=DefectState.REPORTED)
    severity = models.CharField(max_length=16, choices=choices(Severity))
    bars = models.CharField(max_length=12, choices=choices(Bars))
    listing = models.CharField(max_length=12, choices=choices(Listing))
    graded = models.BooleanField(default=True)
    value = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    unit_of_measure = models.CharField(max_length=16, blank=True, default="")
    limit = models.CharField(max_length=40, blank=True, default="")
    limit_value = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    regulation_severity = models.CharField(max_length=16, choices=choices(Severity), blank=True, default="")
    rule = models.CharField(max_length=120, blank=True, default="")
    source = models.CharField(max_length=160, blank=True, default="")
    counts_as_service_brake = models.BooleanField(default=False)
    on_steering_axle = models.BooleanField(default=False)
    heard_from = models.CharField(max_length=160, blank=True, default="", db_default="")
    heard_at = models.DateTimeField(null=True, blank=True)
    catalogue = models.ForeignKey(
        "defects.CatalogueVersion", null=True, blank=True, on_delete=models.PROTECT, related_name="defects"
    )
    report = models.ForeignKey(
        "defects.Report", null=True, blank=True, on_delete=models.PROTECT, related_name="defects"
    )
    roadside = models.ForeignKey(
        "defects.RoadsideInspection", null=True, blank=True, on_delete=models.PROTECT, related_name="defects"
    )
    found_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="defects_found")
    found_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    comeback_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="comebacks")
    order_id = models.UUIDField(null=True, blank=True)
    order_number = models.BigIntegerField(null=True, blank=True)
    expected_at = models.DateTimeField(null=True, blank=True)
    worked_by = models.ManyToManyField("fleet.Person", related_name="defects_worked", blank=True)
    current_certificate = models.OneToOneField(
        "defects.Certificate", null=True, blank=True, on_delete=models.PROTECT, related_name="current_for"
    )
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("unit", "point", "place"),
                condition=Q(state__in=[str(state) for state in OPEN_DEFECT_STATES]) & ~Q(point=""),
                nulls_distinct=False,
                name="defect_one_open_fault",
            ),
            models.CheckConstraint(condition=Q(state__in=list(DefectState)), name="defect_state_known"),
            models.CheckConstraint(condition=Q(severity__in=list(Severity)), name="defect_severity_known"),
            models.CheckConstraint(condition=Q(bars__in=list(Bars)), name="defect_bars_known"),
            models.CheckConstraint(condition=Q(listing__in=list(Listing)), name="defect_listing_known"),
            models.CheckConstraint(condition=~Q(point="") | ~Q(text=""), name="defect_says_what"),
        )
        indexes = (
            models.Index(
                fields=("unit", "state"),
                condition=~Q(state__in=[DefectState.CLOSED, DefectState.ENTERED_IN_ERROR]),
                name="defect_authority",
            ),
            models.Index(fields=("-found_at", "id"), name="defect_newest"),
            models.Index(fields=("order_id",), name="defect_by_order"),
            models.Index(fields=("unit", "point", "place", "-found_at"), name="defect_comebacks"),
        )

    @property
    def certified_at(self) -> datetime | None:
        """When its current certificate was signed."""
        return None if self.current_certificate is None else self.current_certificate.certified_at

    def is_newly_repaired(self, at: datetime) -> bool:
        """Whether `newly_repaired` would find it at that instant."""
        certificate = self.current_certificate
        if self.state == DefectState.CERTIFIED:
            return True
        return (
            self.state == DefectState.CLOSED
            and certificate is not None
            and certificate.kind == CertificateKind.REPAIRED
            and certificate.certified_at >= at - NEWLY_REPAIRED
        )

    def __str__(self) -> str:
        return f"defect {self.number}"


class Sighting(Keyed):
    """One finding of a fault that was already open, or a late finding from before its certificate. Never changed."""

    defect = models.ForeignKey(Defect, on_delete=models.PROTECT, related_name="sightings")
    report = models.ForeignKey(
        "defects.Report", null=True, blank=True, on_delete=models.PROTECT, related_name="sightings"
    )
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    severity = models.CharField(max_length=16, choices=choices(Severity))
    bars = models.CharField(max_length=12, choices=choices(Bars))
    finding = models.CharField(max_length=40, blank=True, default="")
    note = models.TextField(blank=True, default="")
    value = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    unit_of_measure = models.CharField(max_length=16, blank=True, default="")
    heard_from = models.CharField(max_length=160, blank=True, default="", db_default="")
    heard_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    how = models.CharField(max_length=12, choices=choices(SightingHow))

    class Meta:
        indexes = (models.Index(fields=("defect", "seen_at"), name="sighting_of_defect"),)

    def __str__(self) -> str:
        return f"sighting of {self.defect_id}"
