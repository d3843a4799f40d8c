"""Who is on call: turns of the roster, which urgent notices follow. Who holds a role at all stands in `people`."""

from django.db import models
from django.db.models import F, Q

from common.choices import choices
from fleet.enums import Role
from fleet.models.base import Keyed


class OnCallTurn(Keyed):
    """A person on call in a role from an instant to an instant (not included), everywhere or for one site.

    Turns may overlap: at a hand-over both are told. One that was wrong is withdrawn, never edited.
    """

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="turns")
    role = models.CharField(max_length=16, choices=choices(Role))
    site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="turns")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(role__in=list(Role)), name="on_call_role_known"),
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="on_call_ends_after_start"),
        )
        indexes = (
            models.Index(
                fields=("person", "role", "ends_at"), condition=Q(withdrawn_at__isnull=True), name="on_call_standing"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} {self.role}"
