"""Notifications of a person (once each), their deliveries, and the addresses to post them to."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Now

from fleet.enums import LATE_CODES, Channel, DeliveryState, NotificationKind
from fleet.models.base import Keyed, choices
from fleet.models.units import Unit


class Notification(Keyed):
    """Owed to one person exactly once (`dedupe_key`). Its words are `code` plus `facts`, in the person's language.

    `step` is the reminder step, empty for what happened once. `caused_by` is the key of the
    signed body that brought it about, by which its receipt finds it again. `ended` is not stored: whether what it tells
    of has ended, where somebody looked.
    """

    ended = False

    kind = models.CharField(max_length=24, choices=choices(NotificationKind))
    dedupe_key = models.CharField(max_length=200, unique=True)
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="notifications")
    unit = models.ForeignKey(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="notifications")
    subject_id = models.UUIDField(null=True, blank=True)
    step = models.CharField(max_length=60, blank=True, default="")
    code = models.CharField(max_length=48)
    facts = models.JSONField()
    urgent = models.BooleanField(default=False)
    created_at = models.DateTimeField()
    caused_by = models.UUIDField(null=True, blank=True)
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    snoozed_until = models.DateTimeField(null=True, blank=True)
    snooze_reason = models.TextField(blank=True, default="")
    escalated_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(fields=("person", "-created_at", "id"), name="notification_person_newest"),
            models.Index(fields=("caused_by",), condition=Q(caused_by__isnull=False), name="notification_by_cause"),
            models.Index(
                fields=("created_at",),
                condition=Q(urgent=True, acknowledged_at__isnull=True, escalated_at__isnull=True),
                name="notification_to_escalate",
            ),
            models.Index(
                fields=("created_at",),
                condition=Q(code__in=LATE_CODES, acknowledged_at__isnull=True, escalated_at__isnull=True),
                name="late_document_to_escalate",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} to {self.person_id}"


class Delivery(Keyed):
    """One message on one channel: what one event made urgent for one person, or a day's summary.

    A worker leases it (`claimed_until`, attempt counted, committed), sends outside any transaction, then marks it. One
    that is parked is tried more seldom; one whose notifications all ended before it left, or whose person has left, is
    dropped. `cause` names the request or the job that created it, as log lines do.
    """

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="deliveries")
    channel = models.CharField(max_length=8, choices=choices(Channel))
    notifications = models.ManyToManyField(Notification, related_name="deliveries")
    summary_on = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=8, choices=choices(DeliveryState), default=DeliveryState.PENDING)
    attempts = models.PositiveSmallIntegerField(default=0)
    created_at = models.DateTimeField(db_default=Now())
    next_try_at = models.DateTimeField()
    claimed_until = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    message_id = models.CharField(max_length=120, unique=True)
    last_error = models.TextField(blank=True, default="")
    cause = models.CharField(max_length=64, blank=True, default="", db_default="")

    class Meta:
        verbose_name_plural = "deliveries"
        constraints = (
            models.UniqueConstraint(
                fields=("person", "channel", "summary_on"),
                condition=Q(summary_on__isnull=False),
                name="delivery_one_summary_a_day",
            ),
        )
        indexes = (
            models.Index(
                fields=("next_try_at", "id"), condition=Q(state=DeliveryState.PENDING), name="delivery_pending_by_time"
            ),
            models.Index(
                fields=("next_try_at", "id"), condition=Q(state=DeliveryState.PARKED), name="delivery_parked_by_time"
            ),
        )

    def __str__(self) -> str:
        return f"{self.channel} to {self.person_id}"


class WebhookEndpoint(Keyed):
    """Where one person's notifications are posted, signed with a secret of its own; one open address for each person.

    The secret is kept as it is: who signs needs it. It is told once and never given out again.
    """

    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="webhooks")
    url = models.CharField(max_length=400)
    secret = models.CharField(max_length=80)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    ends_on = models.DateField(null=True, blank=True)
    """The last day, of the carrier; none is until it is closed."""
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey("fleet.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    """Empty where it ended by itself."""

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("person",), condition=Q(closed_at__isnull=True), name="webhook_one_open_each"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} at {self.url}"
