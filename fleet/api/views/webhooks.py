"""Where notices are posted beside mail: a second channel, for programs."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from fleet.api.base import ServiceViewSet
from fleet.api.filters import WebhookFilter
from fleet.api.names import person_in_body
from fleet.api.parsed import NothingBody, parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import ADMINISTRATOR, READERS_OF_KEEPING
from fleet.api.serializers.webhooks import NewWebhookOut, WebhookBody, WebhookOut
from fleet.models import WebhookEndpoint
from fleet.services.notifications.webhooks import close_webhook, record_webhook


class WebhookViewSet(ServiceViewSet):
    """Addresses are recorded and closed, never edited."""

    roles = {"list": READERS_OF_KEEPING, "create": ADMINISTRATOR, "close": ADMINISTRATOR}
    idempotency = "none"
    filterset_class = WebhookFilter
    ordering = ("-recorded_at",)
    output = WebhookOut
    queryset = WebhookEndpoint.objects.select_related("person", "recorded_by", "closed_by")

    @extend_schema(responses=WebhookOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Addresses, the latest first; closed ones only when asked for."""
        return self.listed()

    @extend_schema(request=WebhookBody, responses={201: NewWebhookOut})
    def create(self, request: ServiceRequest) -> Response:
        """Post a person's notices to an address from now on. Made twice, the second is refused: one open each.

        It ends with its last day, when it is closed, when the person leaves, has no role any more or is given a new
        password by somebody else; not with whoever recorded it.
        """
        body = parsed(WebhookBody, request).validated_data
        person = person_in_body(body["person"], "/person")
        row = record_webhook(
            person_id=person.pk, url=body["url"], ends_on=body.get("ends_on"), actor=request.person, now=request.now
        )
        return Response(NewWebhookOut(row).data, status=201)

    @extend_schema(request=NothingBody, responses=WebhookOut)
    def close(self, request: ServiceRequest, key: UUID) -> Response:
        """Post there no more."""
        parsed(NothingBody, request)
        return self.shown(close_webhook(webhook_id=key, actor=request.person, now=request.now))
