"""Documents with their files, and the feeds by which a calendar program reads their expiries."""

from django.db import models
from django.db.models import F, Q

from fleet.enums import InspectionProgram
from fleet.models.base import Edited, Keyed, choices
from fleet.models.units import Unit


class StoredFile(models.Model):
    """A file's identity: SHA-256, size in bytes and media type found from its content. Its bytes lie in the store."""

    sha256 = models.CharField(primary_key=True, max_length=64)
    size = models.PositiveIntegerField()
    media_type = models.CharField(max_length=60)
    stored_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.sha256[:12]


class Document(Edited):
    """One document of one subject. Ends are last days included, in the carrier's zone; replacing keeps the old row.

    `ends_on` is the end by day; `ends_on_month` the other reading of a periodic inspection's end. `scan_retained_until`
    and its record kind say how long a replaced one's scan is kept, once that is known. `evidence_held_by`:
    who keeps the evidence that an outside inspector is qualified (396.19). `inspector_unproven`: taken in from a table
    that does not show who was qualified to inspect.
    """

    kind = models.CharField(max_length=48)
    unit = models.ForeignKey(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="documents")
    person = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="documents"
    )
    number = models.CharField(max_length=60, blank=True, default="")
    issuer = models.CharField(max_length=160, blank=True, default="")
    us_state = models.CharField(max_length=2, blank=True, default="", db_column="state")
    issued_on = models.DateField(null=True, blank=True)
    starts_on = models.DateField(null=True, blank=True)
    ends_on = models.DateField(null=True, blank=True)
    ends_on_month = models.DateField(null=True, blank=True)
    program = models.CharField(max_length=8, choices=choices(InspectionProgram), blank=True, default="")
    inspector = models.CharField(max_length=120, blank=True, default="")
    evidence_held_by = models.CharField(max_length=160, blank=True, default="")
    inspector_unproven = models.BooleanField(default=False)
    file = models.ForeignKey(StoredFile, null=True, blank=True, on_delete=models.PROTECT, related_name="documents")
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    superseded_at = models.DateTimeField(null=True, blank=True)
    scan_retained_until = models.DateField(null=True, blank=True)
    scan_record_kind = models.CharField(max_length=40, blank=True, default="")
    superseded_by = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="supersedes"
    )

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("kind", "unit", "person", "us_state"),
                condition=Q(superseded_at__isnull=True),
                nulls_distinct=False,
                name="document_one_current",
            ),
            models.CheckConstraint(
                condition=Q(unit__isnull=True) | Q(person__isnull=True), name="document_one_subject"
            ),
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(starts_on__isnull=True) | Q(ends_on__gte=F("starts_on")),
                name="document_ends_after_start",
            ),
        )
        indexes = (
            models.Index(fields=("ends_on", "id"), condition=Q(superseded_at__isnull=True), name="document_by_end"),
            models.Index(fields=("unit", "kind"), name="document_unit_kind"),
            models.Index(
                fields=("scan_retained_until",),
                condition=Q(superseded_at__isnull=False, file__isnull=False),
                name="document_scan_to_delete",
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.number}".strip()


class InAYear(models.Func):
    """A year from today: for feeds from before they had an end, and those that an older release makes meanwhile."""

    template = "(CURRENT_DATE + 365)"
    output_field = models.DateField()


class FeedToken(Keyed):
    """One feed of one person; only the SHA-256 of its token is kept. `filters` are those of the list, by name."""

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="feeds")
    name = models.CharField(max_length=80)
    token_hash = models.BinaryField(max_length=32, unique=True)
    filters = models.JSONField(default=dict)
    created_at = models.DateTimeField()
    ends_on = models.DateField(db_default=InAYear())
    """The last day, of the carrier."""
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.person_id} {self.name}"
