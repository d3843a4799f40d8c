"""Messages that could not leave, to anybody, over HTTP: read, and sent again."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filters import StrictFilterSet
from common.api.values import Uuid, Word
from common.api.views import gives, takes, takes_nothing
from fleet.api.notifications.notifications import DeliveryShort, NotificationShort, WordedForReader, as_read
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import PersonRefFilter
from fleet.api.requests.roles import READERS_OF_RETENTION
from fleet.api.requests.views import ListMixin
from fleet.enums import Channel
from fleet.models import Delivery
from fleet.models.base import choices
from fleet.selectors.notifications.listing import parked_deliveries
from fleet.services.notifications.deliveries import retry_deliveries, retry_delivery
from fleet.transitions import DELIVERY


class RetryBody(Body):
    """Which parked messages to send again: all of them, or those on a channel or to a person."""

    channel: Channel = ABSENT
    person: Uuid = ABSENT


class RetriedAnswer(Answer):
    """How many messages are on their way again."""

    retried: int


class DeliveryAnswer(DeliveryShort):
    """One message to one person, and when it is tried next."""

    id: UUID
    person: PersonShort
    summary_on: date | None
    attempts: int
    next_try_at: datetime


class ParkedDeliveryAnswer(Answer):
    """A message that could not leave and is tried only now and then: to whom, why, and what it was to carry."""

    id: UUID
    person: PersonShort
    channel: Annotated[str, Word(Channel)]
    summary_on: date | None
    attempts: int
    last_error: str
    next_try_at: datetime = Field(description="When it is tried again by itself, within a week of being created.")
    notifications: list[NotificationShort]


class ParkedDeliveryFilter(StrictFilterSet):
    """Messages that could not leave."""

    person = PersonRefFilter()
    channel = filters.ChoiceFilter(choices=choices(Channel))


class ParkedDeliveryViewSet(ListMixin, WordedForReader):
    """Messages that failed again and again and are tried only now and then, the latest first."""

    roles = {
        "list": READERS_OF_RETENTION,
        "retry": DELIVERY.roles_for("retry"),
        "retry_all": DELIVERY.roles_for("retry"),
    }
    filterset_class = ParkedDeliveryFilter
    ordering = ("-next_try_at",)
    shows = ParkedDeliveryAnswer
    tag = "parked-deliveries"

    def get_queryset(self) -> QuerySet[Delivery]:
        return parked_deliveries()

    def prepare(self, rows: Iterable[Any], now: datetime) -> None:
        """Bring the notifications up to date."""
        as_read((notification for row in rows for notification in row.notifications.all()), now)

    def answer_of(self, row: Any) -> ParkedDeliveryAnswer:
        notifications = [
            NotificationShort.for_reader(notification, self.zone) for notification in row.notifications.all()
        ]
        return ParkedDeliveryAnswer.of(row, notifications=notifications)

    @gives(DeliveryAnswer)
    @takes_nothing
    def retry(self, request: ServiceRequest, key: UUID) -> Response:
        """Send it again, as if it had never been tried: what kept it from leaving has been mended."""
        return Response(DeliveryAnswer.of(retry_delivery(delivery=key, actor=request.person, now=request.now)))

    @extend_schema(operation_id="notices_parked_deliveries_retry_all")
    @gives(RetriedAnswer)
    @takes(RetryBody)
    def retry_all(self, request: ServiceRequest, body: RetryBody) -> Response:
        """Send all of them again, or those on one channel or to one person, as if they had never been tried."""
        retried = retry_deliveries(channel=body.channel, person=body.person, actor=request.person, now=request.now)
        return Response(RetriedAnswer(retried=retried))
