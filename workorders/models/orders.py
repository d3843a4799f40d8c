"""Repair orders: the shop's authorized job on one unit. Moves between states live in services."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Edited, Sequence, choices
from workorders.enums import ACTIVE_ORDER_STATES, OrderState, WaitingFor


class OrderQuerySet(models.QuerySet["RepairOrder"]):
    """Repair orders, as they are asked for."""

    def active(self) -> "OrderQuerySet":
        """Those neither closed nor cancelled."""
        return self.filter(state__in=ACTIVE_ORDER_STATES)


class RepairOrder(Edited):
    """One job on one unit. A unit has at most one active order, which later defects join."""

    number = models.BigIntegerField(unique=True, db_default=Sequence("workorders_order_number"))
    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="repair_orders")
    site = models.ForeignKey(
        "fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_orders"
    )
    state = models.CharField(max_length=12, choices=choices(OrderState), default=OrderState.OPEN)
    waiting_for = models.CharField(max_length=12, choices=choices(WaitingFor), blank=True, default="")
    assigned_to = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="repair_orders"
    )
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    expected_at = models.DateTimeField(null=True, blank=True)
    work_done_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    cancel_reason = models.TextField(blank=True, default="")

    objects = OrderQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("unit",),
                condition=Q(state__in=[str(state) for state in ACTIVE_ORDER_STATES]),
                name="order_one_active_for_unit",
            ),
            models.CheckConstraint(condition=Q(state__in=list(OrderState)), name="order_state_known"),
            models.CheckConstraint(
                condition=Q(state=OrderState.WAITING) & ~Q(waiting_for="")
                | ~Q(state=OrderState.WAITING) & Q(waiting_for=""),
                name="order_waiting_says_for_what",
            ),
            models.CheckConstraint(
                condition=~Q(state=OrderState.CANCELLED) | ~Q(cancel_reason=""), name="order_cancelled_says_why"
            ),
        )
        indexes = (
            models.Index(fields=("-opened_at", "id"), name="order_newest"),
            models.Index(fields=("state", "expected_at"), name="order_by_state"),
        )

    def __str__(self) -> str:
        return f"repair order {self.number}"
