"""Tokens by which a calendar program reads the expiry list. What they show is asked anew at each reading."""

from django.db import models

from fleet.models.base import Keyed


class InAYear(models.Func):
    """A year from today: for feeds from before they had an end, and those that an older release makes meanwhile."""

    template = "(CURRENT_DATE + 365)"
    output_field = models.DateField()


class FeedToken(Keyed):
    """One feed of one person; only the SHA-256 of its token is kept. `filters` are those of the list, by name."""

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="feeds")
    name = models.CharField(max_length=80)
    digest = models.BinaryField(max_length=32, unique=True)
    filters = models.JSONField(default=dict)
    created_at = models.DateTimeField()
    ends_on = models.DateField(db_default=InAYear())
    """The last day, of the carrier."""
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.person_id} {self.name}"
