"""Where notifications are posted beside mail, over HTTP: a second channel, for programs."""

from datetime import date, datetime
from typing import Annotated
from uuid import UUID

from django.db.models import Q
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Day, Text, Uuid
from common.api.views import gives, takes, takes_nothing
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import PersonRefFilter
from fleet.api.requests.references import person_in_body
from fleet.api.requests.roles import ADMINISTRATOR, READERS_OF_RETENTION
from fleet.api.requests.views import ListMixin
from fleet.models import WebhookEndpoint
from fleet.services.notifications.webhooks import close_webhook, record_webhook


class WebhookBody(Body):
    """Whose notifications are posted, and where."""

    person: Uuid
    url: Annotated[str, Text(400)]
    ends_on: Day | None = Field(default=None, description="The last day; without it, until it is closed.")


class WebhookAnswer(Answer):
    """An address; its secret is told once, when it is recorded."""

    id: UUID
    person: PersonShort
    url: str
    recorded_at: datetime
    recorded_by: PersonShort
    ends_on: date | None
    closed_at: datetime | None
    closed_by: PersonShort | None = Field(description="Empty where it ended by itself.")


class NewWebhookAnswer(WebhookAnswer):
    """An address that has just been recorded."""

    secret: str = Field(description="Signs every message (Standard Webhooks, v1); told this once.")


class WebhookFilter(StrictFilterSet):
    """Addresses that notifications are posted to; closed ones only when asked for."""

    person = PersonRefFilter()
    open = OpenFilter(Q(closed_at__isnull=True), by_default=True)
    since, until = within("recorded_at")


class WebhookViewSet(ListMixin):
    """Addresses that notifications are posted to, the latest first; closed ones only when asked for.

    They are recorded and closed, never edited.
    """

    roles = {"list": READERS_OF_RETENTION, "create": ADMINISTRATOR, "close": ADMINISTRATOR}
    idempotency = "none"
    filterset_class = WebhookFilter
    ordering = ("-recorded_at",)
    shows = WebhookAnswer
    queryset = WebhookEndpoint.objects.select_related("person", "recorded_by", "closed_by")

    @gives(NewWebhookAnswer)
    @takes(WebhookBody)
    def create(self, request: ServiceRequest, body: WebhookBody) -> Response:
        """Post a person's notifications to an address from now on. Made twice, the second is refused: one open each.

        It ends with its last day, when it is closed, when the person leaves, has no role any more or is given a new
        password by somebody else; not with whoever recorded it.
        """
        person = person_in_body(body.person, "/person")
        row = record_webhook(
            person_id=person.pk, url=body.url, ends_on=body.ends_on, actor=request.person, now=request.now
        )
        return Response(NewWebhookAnswer.of(row), status=201)

    @takes_nothing
    def close(self, request: ServiceRequest, key: UUID) -> Response:
        """Post there no more."""
        return self.shown(close_webhook(webhook_id=key, actor=request.person, now=request.now))
