"""The one carrier of an installation, its sites, and its policies as dated rows."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Edited, Keyed


class Carrier(Edited):
    """The motor carrier answerable for the units. One row for each installation."""

    only = models.BooleanField(default=True, editable=False)
    name = models.CharField(max_length=120)
    usdot_number = models.CharField(max_length=12)
    address = models.TextField(blank=True)
    time_zone = models.CharField(max_length=64, default="America/Chicago")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("only",), name="carrier_one_per_installation"),
            models.CheckConstraint(condition=Q(only=True), name="carrier_only_is_true"),
        )

    def __str__(self) -> str:
        return self.name


class Site(Edited):
    """A yard, dock or shop of the carrier. `bays` counts repair places; 0 means no shop."""

    code = models.CharField(max_length=24, unique=True)
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    time_zone = models.CharField(max_length=64)
    bays = models.PositiveSmallIntegerField(default=0)
    has_signal = models.BooleanField(default=True)
    closed_on = models.DateField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class Policy(Keyed):
    """One decision of the carrier, in force from an instant until the next row of the same key. Never edited.

    `from_console`: it was set at the server's console, where nobody second was asked.
    """

    key = models.CharField(max_length=64)
    value = models.JSONField()
    valid_from = models.DateTimeField()
    reason = models.TextField(blank=True)
    set_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="policies_set")
    recorded_at = models.DateTimeField()
    from_console = models.BooleanField(default=False)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("key", "valid_from"), name="policy_key_from_unique"),)
        indexes = (models.Index(fields=("key", "-valid_from"), name="policy_key_newest"),)

    def __str__(self) -> str:
        return f"{self.key} from {self.valid_from:%Y-%m-%d}"
