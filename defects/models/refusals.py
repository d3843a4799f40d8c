"""Drivers who declined a unit, and what another person found when looking at it."""

from django.db import models

from fleet.models.base import Keyed


class Refusal(Keyed):
    """A driver's refusal of a unit (49 U.S.C. 31105, 390.6): the driver's own copy is `copy`, proven by `copy_hash`."""

    unit = models.ForeignKey("fleet.Unit", on_delete=models.PROTECT, related_name="refusals")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="refusals")
    reason = models.TextField()
    defects = models.ManyToManyField("defects.Defect", related_name="refusals", blank=True)
    refused_at = models.DateTimeField()
    received_at = models.DateTimeField()
    signature = models.OneToOneField("fleet.Signature", on_delete=models.PROTECT, related_name="refusal")
    copy = models.TextField()
    copy_hash = models.CharField(max_length=64)

    class Meta:
        indexes = (models.Index(fields=("unit", "-refused_at"), name="refusal_unit_newest"),)

    def __str__(self) -> str:
        return f"refusal of {self.unit_id}"


class SecondLook(Keyed):
    """The look by a second qualified person that a refusal waits for. Never by the person who refused.

    Somebody of another firm signs it by a `link`; our own people need no more than their sign-in.
    """

    refusal = models.OneToOneField(Refusal, on_delete=models.PROTECT, related_name="second_look")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    link = models.ForeignKey(
        "defects.SigningLink", null=True, blank=True, on_delete=models.PROTECT, related_name="second_looks"
    )
    signature = models.OneToOneField(
        "fleet.Signature", null=True, blank=True, on_delete=models.PROTECT, related_name="second_look"
    )
    found = models.TextField()
    looked_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"second look at {self.refusal_id}"
