"""The append-only, hash-chained history of each unit: the maintenance file of 396.3. Writing lives in services."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Keyed
from fleet.models.units import Unit


class UnitChain(models.Model):
    """The row that every writer about a unit locks first: the length of its history and the hash of its last entry."""

    unit = models.OneToOneField(Unit, primary_key=True, on_delete=models.PROTECT, related_name="chain")
    sequence = models.BigIntegerField(default=0)
    head = models.BinaryField(max_length=32)

    def __str__(self) -> str:
        return f"{self.unit_id} at {self.sequence}"


class HistoryEntry(Keyed):
    """One link: hashes of its content, of the link before, and of itself over all that names it."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="history")
    sequence = models.BigIntegerField()
    kind = models.CharField(max_length=48)
    subject = models.UUIDField(null=True, blank=True)
    performed_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    content_hash = models.BinaryField(max_length=32)
    previous_hash = models.BinaryField(max_length=32)
    entry_hash = models.BinaryField(max_length=32)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("unit", "sequence"), name="history_sequence_unique"),)
        indexes = (models.Index(fields=("subject",), name="history_by_subject"),)

    def __str__(self) -> str:
        return f"{self.unit_id} #{self.sequence} {self.kind}"


class HistoryContent(models.Model):
    """What an entry said, as salted text. Only a database function that checks the dates and legal holds removes it.

    `keep_until` is the last day of keeping by the rule of `record_kind`, as it was known when this was written. Later
    facts may keep it longer, never shorter; without a day it is kept for good.
    """

    entry = models.OneToOneField(HistoryEntry, primary_key=True, on_delete=models.PROTECT, related_name="content")
    salt = models.BinaryField(max_length=16)
    body = models.TextField()
    record_kind = models.CharField(max_length=40, blank=True, default="")
    keep_until = models.DateField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(fields=("keep_until",), condition=Q(keep_until__isnull=False), name="content_by_keep_until"),
            models.Index(fields=("entry",), condition=Q(record_kind=""), name="content_without_kind"),
        )

    def __str__(self) -> str:
        return str(self.entry_id)
