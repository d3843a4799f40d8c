"""What is owed to the caller, what the caller answers, and what could not leave."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceViewSet
from fleet.api.filters import NoticeFilter, ParkedDeliveryFilter
from fleet.api.parsed import NothingBody, parsed
from fleet.api.requests import ServiceRequest, person_behind
from fleet.api.roles import ADMINISTRATOR, READERS_OF_KEEPING
from fleet.api.serializers.notices import DeliveryOut, NoticeOut, ParkedDeliveryOut, RetriedOut, RetryBody, SnoozeBody
from fleet.models import Delivery, Notice
from fleet.selectors.notifications.listing import notices_of, parked_deliveries, zone_of
from fleet.services.notifications.answer import acknowledge_notice, snooze_notice
from fleet.services.notifications.endings import note_ended
from fleet.services.notifications.parked import retry_deliveries, retry_delivery
from fleet.services.notifications.recount import as_of_now


def _as_read(notices: Iterable[Notice], now: datetime) -> None:
    given = list(notices)
    note_ended(given)
    as_of_now(given, now=now)


class _Told(ServiceViewSet):
    """Words notices for the caller."""

    def get_serializer_context(self) -> dict[str, Any]:
        """Add the zone in which the caller reads instants."""
        if self.being_described:
            return super().get_serializer_context()
        return {**super().get_serializer_context(), "zone": zone_of(person_behind(self.request))}


class NoticeViewSet(_Told):
    """One's own notices, newest first. Answers are the person's own facts and need no If-Match."""

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "acknowledge": ANY_ROLE, "snooze": ANY_ROLE}
    filterset_class = NoticeFilter
    ordering = ("-owed_at",)
    output = NoticeOut

    def get_queryset(self) -> QuerySet[Notice]:
        """Return the caller's own."""
        return self.visible(notices_of, Notice)

    @extend_schema(responses=NoticeOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """One's own notices, newest first, those that were acknowledged among them."""
        return self.listed(lambda page: _as_read(page, request.now))

    @extend_schema(responses=NoticeOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One notice of one's own."""
        return self._again(key, request)

    @extend_schema(request=NothingBody, responses=NoticeOut)
    def acknowledge(self, request: ServiceRequest, key: UUID) -> Response:
        """Say that it was seen: nobody else is told of it then. Saying it again changes nothing."""
        parsed(NothingBody, request)
        acknowledge_notice(notice=key, actor=request.person, now=request.now)
        return self._again(key, request)

    @extend_schema(request=SnoozeBody, responses=NoticeOut)
    def snooze(self, request: ServiceRequest, key: UUID) -> Response:
        """Put it off with a reason; refused for a hold, an officer's order and a load at risk."""
        body = parsed(SnoozeBody, request).validated_data
        snooze_notice(notice=key, actor=request.person, now=request.now, **body)
        return self._again(key, request)

    def _again(self, key: UUID, request: ServiceRequest) -> Response:
        notice = self.row(self.get_queryset(), "notice_unknown", pk=key)
        _as_read([notice], request.now)
        return self.shown(notice)


class ParkedDeliveryViewSet(_Told):
    """Messages that could not leave, to anybody."""

    roles = {"list": READERS_OF_KEEPING, "retry": ADMINISTRATOR, "retry_all": ADMINISTRATOR}
    filterset_class = ParkedDeliveryFilter
    ordering = ("-next_try_at",)
    output = ParkedDeliveryOut

    def get_queryset(self) -> QuerySet[Delivery]:
        """Return all that are parked."""
        return parked_deliveries()

    @extend_schema(responses=ParkedDeliveryOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Messages that failed again and again and are tried only now and then, the latest first."""
        return self.listed(lambda page: _as_read((n for row in page for n in row.notices.all()), request.now))

    @extend_schema(request=NothingBody, responses=DeliveryOut)
    def retry(self, request: ServiceRequest, key: UUID) -> Response:
        """Send it again, as if it had never been tried: what kept it from leaving has been mended."""
        parsed(NothingBody, request)
        return Response(DeliveryOut(retry_delivery(delivery=key, now=request.now)).data)

    @extend_schema(operation_id="notices_parked_deliveries_retry_all", request=RetryBody, responses=RetriedOut)
    def retry_all(self, request: ServiceRequest) -> Response:
        """Send all of them again, or those on one channel or to one person, as if they had never been tried."""
        body = parsed(RetryBody, request).validated_data
        retried = retry_deliveries(channel=body.get("channel"), person=body.get("person"), now=request.now)
        return Response(RetriedOut({"retried": retried}).data)
