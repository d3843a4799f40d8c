"""The one carrier of an installation, its sites, its policies as dated rows, and its on-call shifts."""

from django.db import models
from django.db.models import F, Q

from fleet.enums import Role
from fleet.models.base import Edited, Keyed, choices


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


class OnCallShift(Keyed):
    """A person on call in a role from an instant to an instant (not included), everywhere or for one site.

    Shifts may overlap: at a hand-over both people are notified. One that was wrong is withdrawn, never edited.
    """

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="shifts")
    role = models.CharField(max_length=16, choices=choices(Role))
    site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="shifts")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(role__in=list(Role)), name="on_call_role_known"),
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="on_call_ends_after_start"),
        )
        indexes = (
            models.Index(
                fields=("person", "role", "ends_at"), condition=Q(withdrawn_at__isnull=True), name="on_call_active"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} {self.role}"
