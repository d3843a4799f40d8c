"""One's own notifications over HTTP: in the words of the reader, and what is answered to them."""

from collections.abc import Iterable
from datetime import datetime, tzinfo
from functools import cached_property
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import FlagFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Day, Text, Word
from common.api.views import takes, takes_nothing
from common.messages import Message, current_language, render
from fleet.api.requests.authentication import ServiceRequest, person_behind
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.views import ListMixin, ReadMixin, ServiceViewSet
from fleet.api.units.short import UnitShort
from fleet.enums import Channel, DeliveryState, NotificationKind
from fleet.models import Notification
from fleet.models.base import choices
from fleet.rules.notifications.timing import possible_answers
from fleet.selectors.notifications.listing import notifications_of, zone_of
from fleet.services.notifications.answer import acknowledge_notification, snooze_notification
from fleet.services.notifications.composing import sentence_of, worded_facts
from fleet.services.notifications.endings import note_ended
from fleet.services.notifications.refresh import as_of_now

ACTIONS = ("acknowledge", "snooze")
LONGEST_REASON = 1000


class SnoozeBody(Body):
    """The day whose digest brings it again, at most 30 days from now, and why it can wait until then."""

    until: Day
    reason: Annotated[str, Text(LONGEST_REASON, multiline=True)]


class DeliveryShort(Answer):
    """One message that carried the notification, or is to."""

    channel: Annotated[str, Word(Channel)]
    state: Annotated[str, Word(DeliveryState)]
    sent_at: datetime | None
    last_error: str = Field(description="Why it has not left, where it was tried or could not be.")


class NotificationShort(Answer):
    """What a person is notified of: `text` and `facts` in the reader's language, instants in the reader's zone.

    What a newer release wrote may be of a code that this one has no sentence for: the code then stands there with its
    facts.
    """

    id: UUID
    kind: Annotated[str, Word(NotificationKind)]
    code: str
    text: str = Field(description="The sentence.")
    facts: dict[str, str] = Field(description="The facts that the sentence names, each in words.")
    unit: UnitShort | None
    subject: UUID | None = Field(description="What it is about: a hold, a document.")
    urgent: bool
    ended: bool = Field(description="What it tells of has ended: the text then says so, and nothing leaves.")
    created_at: datetime

    @classmethod
    def for_reader(cls, notification: Notification, zone: tzinfo, **more: object) -> Self:
        says = sentence_of(notification, language=current_language(), zone=zone)
        ended = (
            render(Message("notification_ended", {"what": says}), current_language()) if notification.ended else says
        )
        facts = worded_facts(notification, language=current_language(), zone=zone)
        return cls.of(notification, text=ended, facts=facts, subject=notification.subject_id, **more)


class NotificationAnswer(NotificationShort):
    """A notification of one's own, with what was answered to it and how it left."""

    acknowledged_at: datetime | None
    snoozed_until: datetime | None
    snooze_reason: str
    escalated_at: datetime | None
    deliveries: list[DeliveryShort]
    allowed_actions: list[Annotated[str, Word(ACTIONS)]]


class NotificationFilter(StrictFilterSet):
    """One's own notifications."""

    unit = UnitRefFilter("unit")
    kind = filters.ChoiceFilter(choices=choices(NotificationKind))
    urgent = FlagFilter()
    open = OpenFilter(Q(acknowledged_at__isnull=True))
    since, until = within("created_at")


def as_read(notifications: Iterable[Notification], now: datetime) -> None:
    """Note which of them have ended, and count their days anew."""
    given = list(notifications)
    note_ended(given)
    as_of_now(given, now=now)


class WordedForReader(ServiceViewSet):
    """Words notifications for the caller."""

    @cached_property
    def zone(self) -> tzinfo:
        return zone_of(person_behind(self.request))


class NotificationViewSet(ListMixin, ReadMixin, WordedForReader):
    """One's own notifications, newest first, those that were acknowledged among them.

    Answers are the person's own facts and need no If-Match.
    """

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "acknowledge": ANY_ROLE, "snooze": ANY_ROLE}
    filterset_class = NotificationFilter
    ordering = ("-created_at",)
    shows = NotificationAnswer
    unknown = "notification_unknown"

    def get_queryset(self) -> QuerySet[Notification]:
        return self.visible(notifications_of, Notification)

    def prepare(self, rows: Iterable[Any], now: datetime) -> None:
        """Bring what is shown up to date."""
        as_read(rows, now)

    def answer_of(self, row: Any) -> NotificationAnswer:
        actions = possible_answers(row.kind, urgent=row.urgent, acknowledged=row.acknowledged_at is not None)
        deliveries = list(row.deliveries.all())
        return NotificationAnswer.for_reader(row, self.zone, deliveries=deliveries, allowed_actions=actions)

    @takes_nothing
    def acknowledge(self, request: ServiceRequest, key: UUID) -> Response:
        """Say that it was seen: nobody else is told of it then. Saying it again changes nothing."""
        acknowledge_notification(notification=key, actor=request.person, now=request.now)
        return self.retrieve(request, key=key)

    @takes(SnoozeBody)
    def snooze(self, request: ServiceRequest, body: SnoozeBody, key: UUID) -> Response:
        """Put it off with a reason; refused for a hold, an officer's order and a load at risk."""
        snooze_notification(
            notification=key, actor=request.person, now=request.now, until=body.until, reason=body.reason
        )
        return self.retrieve(request, key=key)
