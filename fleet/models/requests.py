"""Answers kept for repeated requests with one idempotency key, for 90 days."""

from django.db import models

from fleet.models.base import Keyed


class IdempotencyRecord(Keyed):
    """One answered request. Looked up by person, method, path and key together, never by the bare key."""

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    method = models.CharField(max_length=8)
    path = models.CharField(max_length=240)
    key = models.CharField(max_length=200)
    fingerprint = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    body = models.TextField(blank=True, default="")
    headers = models.JSONField(default=dict)
    created_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("person", "method", "path", "key"), name="idempotency_key_unique"),
        )
        indexes = (models.Index(fields=("created_at",), name="idempotency_by_age"),)

    def __str__(self) -> str:
        return self.key
