"""Walk-arounds, the signed report of each unit in them, measured values, and photos. Rows of a report never change."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from defects.enums import Outcome, WalkaroundKind
from fleet.enums import Role
from fleet.models import Person
from fleet.models.base import Keyed, choices


class CatalogueVersion(models.Model):
    """A catalogue as it stood, carrier tightening included, named by the SHA-256 of its canonical JSON."""

    content_hash = models.CharField(primary_key=True, max_length=64)
    document = models.TextField()
    first_used_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.content_hash[:12]


class WalkaroundQuerySet(models.QuerySet["Walkaround"]):
    """Which walk-arounds a person may read whole: one's own, or all for those who work with everybody's."""

    READ_ALL: ClassVar[frozenset[str]] = frozenset({Role.MECHANIC, Role.FOREMAN, Role.COMPLIANCE, Role.AUDITOR})

    def visible_to(self, person: Person) -> "WalkaroundQuerySet":
        """The walk-arounds whose receipts the person may read."""
        return self if person.current_roles & self.READ_ALL else self.filter(person=person)


class Walkaround(models.Model):
    """One visit by a driver to one or more units, named by the phone. `performed_at` is corrected for clock skew."""

    id = models.UUIDField(primary_key=True, editable=False)
    kind = models.CharField(max_length=12, choices=choices(WalkaroundKind))
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="walkarounds")
    team_mate = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="walkarounds_as_team_mate"
    )
    signature = models.OneToOneField("fleet.Signature", on_delete=models.PROTECT, related_name="walkaround")
    body_hash = models.CharField(max_length=64)
    catalogue = models.ForeignKey(CatalogueVersion, on_delete=models.PROTECT, related_name="walkarounds")
    site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="walkarounds")
    coupling = models.ForeignKey(
        "fleet.Coupling", null=True, blank=True, on_delete=models.PROTECT, related_name="walkarounds"
    )
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField()
    performed_at = models.DateTimeField()
    received_at = models.DateTimeField()
    offset_minutes = models.SmallIntegerField()
    skew_seconds = models.IntegerField()
    conditions = models.JSONField()
    flags = models.JSONField(default=list)

    objects = WalkaroundQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=list(WalkaroundKind)), name="walkaround_kind_known"),
        )
        indexes = (models.Index(fields=("person", "-performed_at"), name="walkaround_person_newest"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.id}"


class Report(Keyed):
    """The driver vehicle inspection report of one unit (396.11). `checks` is one JSON value of `checks_schema`.

    `unit` is empty only while `given_unit` names none that is known and nobody has said which it is
    (`unit_assigned_by`). `review_due` when a statutory defect is on it.
    `looked_at` are the legs signed for, each with whether it counts. Of the places that the walk asks every time
    (`places_required`) so many are covered by a leg (`places_covered`); what has no answer is `left_open`.
    """

    CHECKS_SCHEMA: ClassVar[int] = 1
    CHECKS_DELETED: ClassVar[int] = 0
    """The schema of lists that were deleted after their retention: empty, and said so."""

    walkaround = models.ForeignKey(Walkaround, on_delete=models.PROTECT, related_name="reports")
    position = models.PositiveSmallIntegerField()
    unit = models.ForeignKey("fleet.Unit", null=True, blank=True, on_delete=models.PROTECT, related_name="reports")
    given_unit = models.CharField(max_length=160)
    signature = models.ForeignKey("fleet.Signature", on_delete=models.PROTECT, related_name="reports")
    checks_schema = models.PositiveSmallIntegerField(default=CHECKS_SCHEMA)  # or CHECKS_DELETED
    checks = models.JSONField()
    faults = models.JSONField(default=list)
    looked_at = models.JSONField(default=list)
    places_required = models.PositiveSmallIntegerField(default=0)
    places_covered = models.PositiveSmallIntegerField(default=0)
    left_open = models.JSONField(default=list)
    flags = models.JSONField(default=list)
    review_due = models.BooleanField()
    performed_at = models.DateTimeField()
    unit_assigned_by = models.ForeignKey(
        "fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    unit_assigned_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("walkaround", "position"), name="report_position_unique"),
            models.UniqueConstraint(
                fields=("walkaround", "unit"),
                condition=Q(unit_assigned_at__isnull=True),
                name="report_one_for_each_unit",
            ),
            models.CheckConstraint(
                condition=Q(unit_assigned_at__isnull=True, unit_assigned_by__isnull=True)
                | Q(unit_assigned_at__isnull=False, unit_assigned_by__isnull=False, unit__isnull=False),
                name="report_unit_assigned_whole",
            ),
        )
        indexes = (
            models.Index(fields=("unit", "-performed_at", "-id"), name="report_unit_newest"),
            models.Index(fields=("unit", "-performed_at"), condition=Q(review_due=True), name="report_to_review"),
        )

    @property
    def without_answer(self) -> list[dict[str, str]]:
        """The places that the walk asks every time and that have no answer, in walking order."""
        return [row for row in self.left_open if row["required"]]

    @property
    def corrects(self) -> bool:
        """Whether something was put right on the spot."""
        return any(check["verdict"]["outcome"] == Outcome.CORRECTED for check in self.checks)

    @property
    def places_answered(self) -> int:
        """How many of those it asks have an answer: one of their own, or by a leg."""
        return self.places_required - len(self.without_answer)

    @property
    def looked_all_over(self) -> bool:
        """Whether everything that the walk asks every time has an answer; where nothing was asked, nothing has."""
        return 0 < self.places_required == self.places_answered

    def __str__(self) -> str:
        return f"report on {self.given_unit}"


class SetAside(Keyed):
    """Somebody's signed word that answers are given without a report that cannot be read. Never changed.

    The report stays in the file; what it found and the review that is due for it stand as before.
    """

    report = models.OneToOneField(Report, on_delete=models.PROTECT, related_name="set_aside")
    reason = models.TextField()
    signature = models.OneToOneField("fleet.Signature", on_delete=models.PROTECT, related_name="set_aside")
    set_aside_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "reports set aside"

    def __str__(self) -> str:
        return f"report {self.report_id} set aside"


class SentBody(models.Model):
    """What somebody signed in the field, whole, as the phone sent it under its name; kept where it was read otherwise.

    The text is empty once the reports in it were deleted after their retention.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    text = models.TextField()
    received_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"body of {self.id}"


class Measurement(Keyed):
    """One measured value at one place, with its unit of measure, for wear trends. Flagged values stay out."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="measurements")
    point = models.CharField(max_length=80)
    place = models.CharField(max_length=40, blank=True, default="")
    value = models.DecimalField(max_digits=12, decimal_places=4)
    unit_of_measure = models.CharField(max_length=16)
    measured_at = models.DateTimeField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    report = models.ForeignKey(Report, null=True, blank=True, on_delete=models.PROTECT, related_name="measurements")
    task_id = models.UUIDField(null=True, blank=True)

    class Meta:
        indexes = (models.Index(fields=("unit", "point", "place", "-measured_at"), name="measurement_series"),)

    def __str__(self) -> str:
        return f"{self.point} {self.value} {self.unit_of_measure}"


class Photo(Keyed):
    """A photo of a walk-around or a load's scale ticket, which name its hash, or the proof of a repair on a defect.

    The original is never altered; most are shown it without its notes. `is_picture` is whether it can be opened.
    """

    walkaround = models.ForeignKey(Walkaround, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    defect = models.ForeignKey("defects.Defect", null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    load = models.ForeignKey("defects.Load", null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    original = models.ForeignKey("fleet.StoredFile", on_delete=models.PROTECT, related_name="photos")
    is_picture = models.BooleanField(db_default=True)
    received_at = models.DateTimeField()
    received_from = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+", db_index=False)

    class Meta:
        indexes = (models.Index(fields=("received_from", "received_at"), name="photo_by_who_sent_it"),)
        constraints = (
            models.UniqueConstraint(
                fields=("walkaround", "defect", "load", "original"),
                nulls_distinct=False,
                name="photo_once_for_each_subject",
            ),
            models.CheckConstraint(
                condition=Q(walkaround__isnull=True, defect__isnull=False, load__isnull=True)
                | Q(walkaround__isnull=False, defect__isnull=True, load__isnull=True)
                | Q(walkaround__isnull=True, defect__isnull=True, load__isnull=False),
                name="photo_of_one_of_three",
            ),
        )

    def __str__(self) -> str:
        return str(self.original_id)[:12]
