"""What bars a unit: holds by the carrier or an officer, refusals by drivers, and the moves allowed meanwhile."""

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


class Refusal(Keyed):
    """A driver's refusal of a unit (49 U.S.C. 31105, 390.6): the driver's own copy is `copy`, proven by `copy_hash`."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="refusals")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="refusals")
    reason = models.TextField()
    defects = models.ManyToManyField("defects.Defect", related_name="refusals", blank=True)
    refused_at = models.DateTimeField()
    received_at = models.DateTimeField()
    signature = models.OneToOneField("fleet.Signature", on_delete=models.PROTECT, related_name="refusal")
    copy = models.TextField()
    copy_hash = models.CharField(max_length=64)

    class Meta:
        indexes = (models.Index(fields=("unit", "-refused_at"), name="refusal_unit_newest"),)

    def __str__(self) -> str:
        return f"refusal of {self.unit_id}"


class SecondLook(Keyed):
    """The look by a second qualified person that a refusal waits for. Never by the person who refused.

    Somebody of another firm signs it by a `link`; our own people need no more than their sign-in.
    """

    refusal = models.OneToOneField(Refusal, on_delete=models.PROTECT, related_name="second_look")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    link = models.ForeignKey(
        "defects.SigningLink", null=True, blank=True, on_delete=models.PROTECT, related_name="second_looks"
    )
    signature = models.OneToOneField(
        "fleet.Signature", null=True, blank=True, on_delete=models.PROTECT, related_name="second_look"
    )
    finding = models.TextField()
    looked_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"second look at {self.refusal_id}"


class YardMove(Keyed):
    """A move on private ground to the bay, while the unit is barred. Recorded, never an override."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="yard_moves")
    site = models.ForeignKey("fleet.Site", on_delete=models.PROTECT, related_name="+")
    from_place = models.CharField(max_length=120)
    to_place = models.CharField(max_length=120)
    reason = models.TextField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    moved_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"yard move of {self.unit_id}"


class LimitedMove(Keyed):
    """Permission for one trip to the nearest safe repair place (396.7(b)); never under an officer's order."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="limited_moves")
    found_at_place = models.CharField(max_length=200)
    to_place = models.CharField(max_length=200)
    distance_mi = models.DecimalField(max_digits=6, decimal_places=1)
    why_nearest = models.TextField()
    why_less_hazardous = models.TextField()
    driver = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="limited_moves")
    driver_consented_at = models.DateTimeField()
    conditions = models.TextField(blank=True, default="")
    approved_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    approved_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    end_note = models.TextField(blank=True, default="")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(ends_at__gt=F("approved_at")), name="limited_move_ends_after_start"),
            models.CheckConstraint(condition=Q(distance_mi__gt=0), name="limited_move_distance"),
        )

    def __str__(self) -> str:
        return f"limited move of {self.unit_id}"


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
