"""Repair orders and their tasks: the shop's authorized job on one unit. Moves between states live in services."""

from django.db import models
from django.db.models import F, Q

from fleet.models.base import Edited, Keyed, Sequence
from workorders.enums import STANDING_ORDER_STATES, LaborRole, OrderState, TaskState, WaitingFor


class RepairOrder(Edited):
    """One job on one unit. A unit has at most one standing order, which later defects join."""

    number = models.BigIntegerField(unique=True, db_default=Sequence("workorders_order_number"))
    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="repair_orders")
    site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_orders")
    state = models.CharField(max_length=12, choices=OrderState.choices, default=OrderState.OPEN)
    waiting_for = models.CharField(max_length=12, choices=WaitingFor.choices, blank=True, default="")
    assigned_to = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_orders"
    )
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    expected_at = models.DateTimeField(null=True, blank=True)
    work_done_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    cancel_reason = models.TextField(blank=True, default="")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("unit",),
                condition=Q(state__in=[str(state) for state in STANDING_ORDER_STATES]),
                name="order_one_standing_for_unit",
            ),
            models.CheckConstraint(condition=Q(state__in=OrderState.values), name="order_state_known"),
            models.CheckConstraint(
                condition=Q(state="waiting") & ~Q(waiting_for="") | ~Q(state="waiting") & Q(waiting_for=""),
                name="order_waiting_says_for_what",
            ),
            models.CheckConstraint(
                condition=~Q(state="cancelled") | ~Q(cancel_reason=""), name="order_cancelled_says_why"
            ),
        )
        indexes = (
            models.Index(fields=("-opened_at", "id"), name="order_newest"),
            models.Index(fields=("state", "expected_at"), name="order_by_state"),
        )

    def __str__(self) -> str:
        return f"repair order {self.number}"


class RepairTask(Edited):
    """One piece of work: complaint, cause, correction, and what was measured before and after."""

    order = models.ForeignKey(RepairOrder, on_delete=models.PROTECT, related_name="tasks")
    defect = models.ForeignKey(
        "defects.Defect", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_tasks"
    )
    state = models.CharField(max_length=16, choices=TaskState.choices, default=TaskState.OPEN)
    scope = models.CharField(max_length=24, blank=True, default="")
    complaint = models.TextField()
    cause = models.TextField(blank=True, default="")
    correction = models.TextField(blank=True, default="")
    conditions = models.TextField(blank=True, default="")
    lead = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_tasks_led"
    )
    before = models.ForeignKey(
        "defects.Measurement", null=True, blank=True, on_delete=models.PROTECT, related_name="tasks_before"
    )
    after = models.ForeignKey(
        "defects.Measurement", null=True, blank=True, on_delete=models.PROTECT, related_name="tasks_after"
    )
    opened_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("defect",),
                condition=Q(state__in=["open", "started", "not_reproduced"]),
                name="task_one_standing_for_defect",
            ),
            models.CheckConstraint(condition=Q(state__in=TaskState.values), name="task_state_known"),
            models.CheckConstraint(condition=~Q(state="done") | ~Q(correction=""), name="task_done_says_what"),
        )
        indexes = (models.Index(fields=("order", "opened_at"), name="task_of_order"),)

    def __str__(self) -> str:
        return f"task of {self.order_id}"


class LaborEntry(Keyed):
    """Who worked on a task from when to when, as lead or as helper under the lead."""

    task = models.ForeignKey(RepairTask, on_delete=models.PROTECT, related_name="labor")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="labor")
    role = models.CharField(max_length=8, choices=LaborRole.choices)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    pause_cause = models.CharField(max_length=60, blank=True, default="")
    rate = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True, default="")

    class Meta:
        verbose_name_plural = "labor entries"
        constraints = (
            models.UniqueConstraint(
                fields=("person",), condition=Q(ended_at__isnull=True), name="labor_one_running_for_person"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")), name="labor_ends_after_start"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} on {self.task_id}"


class OutsideRepair(Keyed):
    """Work done by an outside firm: who did it, its invoice and proof (396.3(b)(3))."""

    order = models.ForeignKey(RepairOrder, on_delete=models.PROTECT, related_name="outside_repairs")
    firm = models.CharField(max_length=120)
    worker = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="outside_repairs")
    place = models.CharField(max_length=200)
    work = models.TextField()
    tasks = models.ManyToManyField(RepairTask, related_name="outside_repairs")
    invoice = models.CharField(max_length=60, blank=True, default="")
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True, default="")
    photo_sha256 = models.CharField(max_length=64, blank=True, default="")
    done_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.firm} on {self.order_id}"
