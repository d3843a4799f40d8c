"""Repairs by outside firms (396.3(b)(3))."""

from django.db import models

from fleet.models.base import Keyed
from workorders.models.orders import RepairOrder
from workorders.models.tasks import RepairTask


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
