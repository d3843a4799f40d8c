"""Signatures as rows of their own (390.32): who signed what, having been shown what, how, where and when."""

from django.db import models

from common.choices import choices
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models.base import Keyed


class Signature(Keyed):
    """Never changed. `signer` may differ from the token's owner; `content_hash` is the SHA-256 of what was signed."""

    purpose = models.CharField(max_length=12, choices=choices(SignaturePurpose))
    signer = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="signatures")
    token_owner = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    shown = models.TextField()
    content_hash = models.CharField(max_length=64)
    method = models.CharField(max_length=8, choices=choices(SignatureMethod))
    device = models.CharField(max_length=80, blank=True, default="")
    signed_at = models.DateTimeField()
    offset_minutes = models.SmallIntegerField()
    received_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.purpose} by {self.signer_id}"
