"""The history of each unit (396.3), what freezes and what deletes it, restores, and stored responses."""

from django.db import models
from django.db.models import Q

from fleet.enums import Deleted, HoldCause
from fleet.models.base import Keyed, choices
from fleet.models.documents import StoredFile
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

    `retained_until` is the last day by the retention rule of `record_kind`, as it was known when this was written.
    Later facts may keep it longer, never shorter; without a day it is kept for good.
    """

    entry = models.OneToOneField(HistoryEntry, primary_key=True, on_delete=models.PROTECT, related_name="content")
    salt = models.BinaryField(max_length=16)
    body = models.TextField()
    record_kind = models.CharField(max_length=40, blank=True, default="")
    retained_until = models.DateField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(
                fields=("retained_until",), condition=Q(retained_until__isnull=False), name="content_by_retained_until"
            ),
            models.Index(fields=("entry",), condition=Q(record_kind=""), name="content_without_kind"),
        )

    def __str__(self) -> str:
        return str(self.entry_id)


class LegalHold(Keyed):
    """A crash, claim or complaint freezes a unit's file: nothing of it is purged until lifted.

    The database lets its empty lift fields be set once, and nothing else be changed.
    """

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="legal_holds")
    cause = models.CharField(max_length=12, choices=choices(HoldCause))
    reason = models.TextField()
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    lift_reason = models.TextField(blank=True, default="")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(cause__in=list(HoldCause)), name="legal_hold_cause_known"),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True, lift_reason="")
                | (Q(lifted_at__isnull=False, lifted_by__isnull=False) & ~Q(lift_reason="")),
                name="legal_hold_lift_whole",
            ),
        )
        indexes = (models.Index(fields=("unit",), condition=Q(lifted_at__isnull=True), name="legal_hold_active"),)

    def __str__(self) -> str:
        return f"legal hold on {self.unit_id}"


class Deletion(Keyed):
    """What a job deleted, by the words of the rule that let it go; written by the function that deletes, never else.

    `record` is the key of the row whose content went, `content_hash` the SHA-256 that stays as its proof, `subject`
    what the record was about. `unit_name` is the unit as it was called that day.
    """

    what = models.CharField(max_length=16, choices=choices(Deleted))
    record = models.UUIDField()
    entry = models.OneToOneField(HistoryEntry, null=True, blank=True, on_delete=models.PROTECT, related_name="deletion")
    unit = models.ForeignKey(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="deletions")
    unit_name = models.CharField(max_length=160, blank=True, default="")
    subject = models.UUIDField(null=True, blank=True)
    event = models.CharField(max_length=48, blank=True, default="")
    record_kind = models.CharField(max_length=40)
    retained_until = models.DateField()
    rule = models.CharField(max_length=160)
    source = models.CharField(max_length=120)
    content_hash = models.CharField(max_length=64)
    deleted_at = models.DateTimeField()
    run = models.UUIDField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("what", "record"), name="deletion_once"),
            models.CheckConstraint(condition=Q(what__in=list(Deleted)), name="deletion_what_known"),
        )
        indexes = (
            models.Index(fields=("-deleted_at", "id"), name="deletion_newest"),
            models.Index(fields=("unit", "-deleted_at"), name="deletion_of_unit"),
        )

    def __str__(self) -> str:
        return f"{self.what} {self.record}"


class FileRemoval(models.Model):
    """Bytes to be taken from the store, asked for in the transaction that deleted what named them; the row stays."""

    file = models.OneToOneField(StoredFile, primary_key=True, on_delete=models.PROTECT, related_name="removal")
    requested_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(fields=("requested_at",), condition=Q(done_at__isnull=True), name="file_removal_pending"),
        )

    def __str__(self) -> str:
        return f"removal of {self.file_id[:12]}"


WHO_LENGTH = 160


class Restore(Keyed):
    """The database was restored from a backup; written once by whoever owns the tables.

    `known_until` is the day of the newest digest in the backup, `lengths` how many entries each unit's history had in
    it: digests of later days, from before `restored_at`, may know more. `restored_by` is who did it, as told.
    """

    backed_up_at = models.DateTimeField()
    restored_at = models.DateTimeField()
    restored_by = models.CharField(max_length=WHO_LENGTH)
    known_until = models.DateField(null=True, blank=True)
    lengths = models.JSONField()

    def __str__(self) -> str:
        return (
            f"restored {self.restored_at:%Y-%m-%d %H:%M} UTC by {self.restored_by} "
            f"from a backup of {self.backed_up_at:%Y-%m-%d %H:%M} UTC"
        )


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
