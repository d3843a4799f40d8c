"""The carrier's signed statement on a listed defect (396.11(a)(3)), tests made again, and defects entered in error."""

from django.db import models
from django.db.models import Q

from defects.enums import CertificateKind
from fleet.models.base import Keyed, choices


class Certificate(Keyed):
    """Never edited, only superseded. A limit of `repair_unnecessary` is a last day, an odometer total or engine hours.

    `agent_reason` is why a driver signed as the carrier's agent (FMCSA guidance on 396.13, question 1); else empty.
    `worked_by` are all who worked, signed or entered it. `link` is the one by which somebody of another `firm` signed;
    `brake_evidence` then says who at it keeps the evidence of qualification for brakes (396.25(e)).
    """

    defect = models.ForeignKey("defects.Defect", on_delete=models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=20, choices=choices(CertificateKind))
    statement = models.TextField()
    signature = models.OneToOneField("fleet.Signature", on_delete=models.PROTECT, related_name="certificate")
    worked_by = models.ManyToManyField("fleet.Person", related_name="certificates_worked", blank=True)
    measurement = models.ForeignKey(
        "defects.Measurement", null=True, blank=True, on_delete=models.PROTECT, related_name="certificates"
    )
    repeated_test = models.ForeignKey(
        "defects.RepeatedTest", null=True, blank=True, on_delete=models.PROTECT, related_name="certificates"
    )
    photo_sha256 = models.CharField(max_length=64, blank=True, default="")
    corrected_on_the_spot = models.BooleanField(default=False)
    report = models.ForeignKey(
        "defects.Report", null=True, blank=True, on_delete=models.PROTECT, related_name="certificates"
    )
    agent_reason = models.TextField(blank=True, default="")
    link = models.ForeignKey(
        "defects.SigningLink", null=True, blank=True, on_delete=models.PROTECT, related_name="certificates"
    )
    firm = models.CharField(max_length=120, blank=True, default="")
    brake_evidence = models.TextField(blank=True, default="")
    limit_on = models.DateField(null=True, blank=True)
    limit_mi = models.DecimalField(max_digits=12, decimal_places=1, null=True, blank=True)
    limit_engine_h = models.DecimalField(max_digits=12, decimal_places=1, null=True, blank=True)
    supersedes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by"
    )
    certified_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=list(CertificateKind)), name="certificate_kind_known"),
            models.CheckConstraint(
                condition=Q(kind="repaired", limit_on__isnull=True, limit_mi__isnull=True, limit_engine_h__isnull=True)
                | (
                    Q(kind="repair_unnecessary")
                    & (Q(limit_on__isnull=False) | Q(limit_mi__isnull=False) | Q(limit_engine_h__isnull=False))
                ),
                name="certificate_limit_by_kind",
            ),
        )
        indexes = (models.Index(fields=("defect", "-certified_at"), name="certificate_of_defect"),)

    def __str__(self) -> str:
        return f"{self.kind} for {self.defect_id}"


class RepeatedTest(Keyed):
    """A test that somebody repeated at an open defect, where no picture shows the repair. Never changed."""

    defect = models.ForeignKey("defects.Defect", on_delete=models.PROTECT, related_name="repeated_tests")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="repeated_tests")
    passed = models.BooleanField()
    note = models.TextField(blank=True, default="")
    tested_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    class Meta:
        indexes = (models.Index(fields=("defect", "-tested_at"), name="repeated_test_of_defect"),)

    def __str__(self) -> str:
        return f"test at {self.defect_id}"


class EntryInError(Keyed):
    """A foreman's signed word that a defect never was one, with who showed it and how. Never changed."""

    defect = models.OneToOneField("defects.Defect", on_delete=models.PROTECT, related_name="entry_in_error")
    reason = models.TextField()
    signature = models.OneToOneField("fleet.Signature", on_delete=models.PROTECT, related_name="entry_in_error")
    shown_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="errors_shown")
    measurement = models.ForeignKey(
        "defects.Measurement", null=True, blank=True, on_delete=models.PROTECT, related_name="entries_in_error"
    )
    repeated_test = models.ForeignKey(
        RepeatedTest, null=True, blank=True, on_delete=models.PROTECT, related_name="entries_in_error"
    )
    photo_sha256 = models.CharField(max_length=64, blank=True, default="")
    entered_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "entries in error"

    def __str__(self) -> str:
        return f"error in entry of {self.defect_id}"

    @property
    def shown_how(self) -> str:
        """By what it was shown: a measurement, a test repeated, a photo, or a look."""
        if self.measurement_id is not None:
            return "measurement"
        if self.repeated_test_id is not None:
            return "repeated_test"
        return "photo" if self.photo_sha256 else "look"
