"""Scale tickets: what a loaded combination weighed."""

from django.db import models
from django.db.models import Q

from defects.models.loads import Load
from fleet.models.base import Keyed


class ScaleTicket(Keyed):
    """One weighing. `groups` are the weighed groups of axles from the front, each `axles` (how many) and `lb`.

    `photo` is the SHA-256 of the ticket's picture, which is sent by itself. `flags` say what is odd about a ticket from
    the field: it is kept and no weight is compared with it. Never changed.
    """

    load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="scale_tickets")
    tractor = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="+")
    trailer = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="scale_tickets")
    scale = models.CharField(max_length=120)
    number = models.CharField(max_length=40, blank=True, default="")
    weighed_at = models.DateTimeField()
    groups = models.JSONField()
    gross_lb = models.PositiveIntegerField()
    photo = models.CharField(max_length=64, blank=True, default="")
    flags = models.JSONField(default=list)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(gross_lb__gt=0), name="scale_ticket_weighs"),)
        indexes = (models.Index(fields=("load", "-weighed_at", "-recorded_at"), name="scale_ticket_newest"),)

    def __str__(self) -> str:
        return f"{self.gross_lb} lb at {self.scale}"
