"""Repair tasks: one piece of work each, of an order. Moves between states live in services."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Edited, choices
from workorders.enums import ACTIVE_TASK_STATES, TaskState
from workorders.models.orders import RepairOrder


class TaskQuerySet(models.QuerySet["RepairTask"]):
    """Repair tasks, as they are asked for."""

    def active(self) -> "TaskQuerySet":
        """Those still to be done."""
        return self.filter(state__in=ACTIVE_TASK_STATES)


class RepairTask(Edited):
    """One piece of work: complaint, cause, correction, and what was measured before and after.

    While it is paused, `undone` says what is left and `pause_signature` that the unit is fit to move with it,
    where `cold_freight_too` also to carry cold freight.
    """

    order = models.ForeignKey(RepairOrder, on_delete=models.PROTECT, related_name="tasks")
    defect = models.ForeignKey(
        "defects.Defect", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_tasks"
    )
    state = models.CharField(max_length=16, choices=choices(TaskState), default=TaskState.OPEN)
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
    helpers = models.ManyToManyField("fleet.Person", related_name="repair_tasks_helped", blank=True)
    road_test_at = models.DateTimeField(null=True, blank=True)
    undone = models.TextField(blank=True, default="")
    cold_freight_too = models.BooleanField(default=False)
    pause_signature = models.OneToOneField(
        "fleet.Signature", null=True, blank=True, on_delete=models.PROTECT, related_name="paused_task"
    )
    cancel_reason = models.TextField(blank=True, default="")
    opened_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    objects = TaskQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("defect",),
                condition=Q(state__in=[str(state) for state in ACTIVE_TASK_STATES]),
                name="task_one_active_for_defect",
            ),
            models.CheckConstraint(condition=Q(state__in=list(TaskState)), name="task_state_known"),
            models.CheckConstraint(condition=~Q(state=TaskState.DONE) | ~Q(correction=""), name="task_done_says_what"),
            models.CheckConstraint(
                condition=~Q(state=TaskState.CANCELLED) | ~Q(cancel_reason=""), name="task_cancelled_says_why"
            ),
            models.CheckConstraint(
                condition=~Q(state=TaskState.NOT_REPRODUCED) | (~Q(conditions="") & Q(road_test_at__isnull=False)),
                name="task_not_reproduced_says_when_next",
            ),
            models.CheckConstraint(
                condition=~Q(state=TaskState.PAUSED) | (~Q(undone="") & Q(pause_signature__isnull=False)),
                name="task_paused_says_what_is_undone",
            ),
        )
        indexes = (models.Index(fields=("order", "opened_at"), name="task_of_order"),)

    def __str__(self) -> str:
        return f"task of {self.order_id}"
