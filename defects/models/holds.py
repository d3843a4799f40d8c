"""What bars a unit: holds by the carrier or an officer; and units that are in work."""

from django.db import models
from django.db.models import F, Q

from defects.enums import HoldKind
from fleet.models.base import Keyed, Sequence, choices


class Hold(Keyed):
    """An out-of-service hold on one unit. Only its empty lift fields may be set, once; the database refuses more."""

    number = models.BigIntegerField(unique=True, db_default=Sequence("defects_hold_number"))
    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="holds")
    kind = models.CharField(max_length=8, choices=choices(HoldKind))
    defect = models.ForeignKey("defects.Defect", null=True, blank=True, on_delete=models.PROTECT, related_name="holds")
    roadside = models.ForeignKey(
        "defects.RoadsideInspection", null=True, blank=True, on_delete=models.PROTECT, related_name="holds"
    )
    reason = models.TextField()
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="holds_placed")
    recorded_at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="holds_lifted"
    )
    lift_signature = models.OneToOneField(
        "fleet.Signature", null=True, blank=True, on_delete=models.PROTECT, related_name="lift"
    )
    lift_reason = models.TextField(blank=True, default="")
    lift_flag = models.CharField(max_length=40, blank=True, default="")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("defect",),
                condition=Q(lifted_at__isnull=True) & Q(defect__isnull=False) & Q(kind="carrier"),
                name="hold_one_active_for_defect",
            ),
            models.CheckConstraint(condition=Q(kind__in=list(HoldKind)), name="hold_kind_known"),
            models.CheckConstraint(
                condition=~Q(kind="officer") | Q(roadside__isnull=False), name="hold_officer_names_inspection"
            ),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True, lift_signature__isnull=True)
                | Q(lifted_at__isnull=False, lifted_by__isnull=False, lift_signature__isnull=False),
                name="hold_lift_complete",
            ),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True) | Q(lifted_at__gte=F("recorded_at")), name="hold_lift_after_record"
            ),
        )
        indexes = (
            models.Index(fields=("unit",), condition=Q(lifted_at__isnull=True), name="hold_active"),
            models.Index(fields=("-placed_at", "id"), name="hold_newest"),
        )

    def __str__(self) -> str:
        return f"hold {self.number}"


class WorkInProgress(Keyed):
    """Work that is under way on a unit, for as long as it is: written by the shop, which keeps its history.

    `task_id`, `order_id` and `order_number` are the shop's. `undone` is empty until the work is signed paused as fit to
    move with this undone, and `cold_freight_too` once the signer says that it may carry cold freight with it.
    """

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="+")
    task_id = models.UUIDField(unique=True)
    order_id = models.UUIDField()
    order_number = models.BigIntegerField()
    what = models.TextField()
    since = models.DateTimeField()
    undone = models.TextField(blank=True, default="")
    cold_freight_too = models.BooleanField(default=False)
    expected_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "works in progress"
        indexes = (models.Index(fields=("order_id",), name="work_by_order"),)

    def __str__(self) -> str:
        return f"work on order {self.order_number}"
