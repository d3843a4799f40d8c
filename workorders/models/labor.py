"""Labor: who of our own people worked on which task, from when to when."""

from django.db import models
from django.db.models import F, Q

from fleet.models.base import Keyed, choices
from workorders.enums import LaborRole
from workorders.models.tasks import RepairTask


class LaborEntry(Keyed):
    """Who worked on a task from when to when, as lead or as helper under the lead.

    `rate` is what the carrier reckoned an hour of that part at when it began, in `currency`; never changed afterwards.
    """

    task = models.ForeignKey(RepairTask, on_delete=models.PROTECT, related_name="labor")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="labor")
    role = models.CharField(max_length=8, choices=choices(LaborRole))
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
