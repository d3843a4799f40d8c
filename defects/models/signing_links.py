"""One-time links by which somebody of another firm signs, and who confirmed that a firm is what it says."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Keyed


class SigningLink(Keyed):
    """A link that one person made for one signing act of an outsider; only the SHA-256 of its token is kept.

    It is for repairs of `defects`, or for the second look that a `refusal` waits for.
    """

    token_hash = models.BinaryField(max_length=32, unique=True)
    defects = models.ManyToManyField("defects.Defect", related_name="signing_links")
    refusal = models.ForeignKey(
        "defects.Refusal", null=True, blank=True, on_delete=models.PROTECT, related_name="signing_links"
    )
    made_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="signing_links")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(used_at__isnull=True) | Q(revoked_at__isnull=True), name="signing_link_one_end"
            ),
        )
        indexes = (models.Index(fields=("-made_at", "id"), name="signing_link_newest"),)

    def __str__(self) -> str:
        return f"link by {self.made_by_id}"


class FirmConfirmation(Keyed):
    """Somebody's word that a repair firm is what it says, and how that was found out. Never changed.

    `brake_evidence` says who at the firm keeps the evidence of its brake inspectors' qualification (396.25(e));
    empty where nobody asked.
    """

    firm = models.CharField(max_length=120)
    how = models.TextField()
    brake_evidence = models.TextField(blank=True, default="")
    confirmed_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="firms_confirmed")
    confirmed_at = models.DateTimeField()

    class Meta:
        indexes = (models.Index(fields=("-confirmed_at", "id"), name="firm_confirmation_newest"),)

    def __str__(self) -> str:
        return f"{self.firm} by {self.confirmed_by_id}"
