"""Addresses to which a person's notices are posted beside mail. Posting itself lives in services."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Keyed


class WebhookEndpoint(Keyed):
    """Where one person's notices are posted, signed with a secret of its own; one open address for each person.

    The secret is kept as it is: who signs needs it. It is told once and never given out again.
    """

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="webhooks")
    url = models.CharField(max_length=400)
    secret = models.CharField(max_length=80)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    ends_on = models.DateField(null=True, blank=True)
    """The last day, of the carrier; none is until it is closed."""
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    """Empty where it ended by itself."""

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("person",), condition=Q(closed_at__isnull=True), name="webhook_one_open_each"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} at {self.url}"
