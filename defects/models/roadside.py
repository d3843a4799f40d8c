"""An officer's inspections of our units and what they found. The defects and orders that follow stand elsewhere."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Edited, Keyed


class RoadsideInspection(Edited):
    """An officer's inspection (396.9). The answer is due within 15 days of the inspection date unless it was clean.

    `answer_title` is the title of the official who signed the answer (396.9(d)(3)).
    """

    report_number = models.CharField(max_length=40, unique=True)
    inspected_at = models.DateTimeField()
    officer = models.CharField(max_length=120)
    us_state = models.CharField(max_length=2, db_column="state")
    level = models.PositiveSmallIntegerField()
    units = models.ManyToManyField("fleet.Unit", related_name="roadside_inspections")
    is_clean = models.BooleanField()
    received_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    answer_due_on = models.DateField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    answer_title = models.CharField(max_length=120, blank=True, default="")
    answer_signature = models.OneToOneField(
        "fleet.Signature", null=True, blank=True, on_delete=models.PROTECT, related_name="roadside_answer"
    )

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(is_clean=True, answer_due_on__isnull=True) | Q(is_clean=False, answer_due_on__isnull=False),
                name="roadside_answer_due_unless_clean",
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True)
                | (Q(is_clean=False, answered_by__isnull=False, answer_signature__isnull=False) & ~Q(answer_title="")),
                name="roadside_answer_complete",
            ),
        )
        indexes = (models.Index(fields=("-inspected_at", "id"), name="roadside_newest"),)

    def __str__(self) -> str:
        return self.report_number


class RoadsideViolation(Keyed):
    """One line of an officer's report, with the defect that it is about. A fault may be on several reports."""

    inspection = models.ForeignKey(RoadsideInspection, on_delete=models.PROTECT, related_name="violations")
    position = models.PositiveSmallIntegerField()
    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="violations")
    defect = models.ForeignKey("defects.Defect", on_delete=models.PROTECT, related_name="violations")
    section = models.CharField(max_length=40, blank=True, default="")
    text = models.TextField(blank=True, default="")
    out_of_service = models.BooleanField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("inspection", "position"), name="roadside_violation_position_unique"),
        )

    def __str__(self) -> str:
        return f"violation {self.position} of {self.inspection_id}"
