"""Feeds of the expiry list for calendar programs, which sign in with nothing but an address."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponse
from django.utils import translation
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.permissions import ANONYMOUS, ANY_ROLE
from common.errors import NotFound
from fleet.api.base import ServiceView, ServiceViewSet
from fleet.api.expiry_filter import question_from
from fleet.api.expiry_forms.calendar import expiry_calendar
from fleet.api.filters import FeedFilter
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.serializers.expiries import FeedBody, FeedOut, NewFeedOut
from fleet.api.views.expiries import CalendarForm, calendar_answer
from fleet.models import FeedToken
from fleet.selectors.documents.expiries.listing import expiries_for, whole_list
from fleet.selectors.people.sign_in import feed_in_force
from fleet.selectors.people.visible import feeds_visible_to
from fleet.services.documents.feeds import READS_FEEDS, create_feed, note_reading, revoke_feed


class ExpiryFeedViewSet(ServiceViewSet):
    """Feeds that calendar programs read; the address is told once and its token kept hashed."""

    roles = {"list": ANY_ROLE, "create": READS_FEEDS, "destroy": ANY_ROLE}
    idempotency = "none"
    filterset_class = FeedFilter
    ordering = ("-created_at",)
    output = FeedOut

    def get_queryset(self) -> QuerySet[FeedToken]:
        """Return the feeds that the caller may see."""
        return self.visible(feeds_visible_to, FeedToken).select_related("person")

    @extend_schema(responses=FeedOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Feeds that were not revoked: one's own, everybody's for an administrator."""
        return self.listed()

    @extend_schema(request=FeedBody, responses={201: NewFeedOut})
    def create(self, request: ServiceRequest) -> Response:
        """Make a feed, for a year unless you say less.

        Its address ends with its last day, with the last role that may make one, with leaving, with a new password of
        yours, or when it is revoked.
        """
        body = parsed(FeedBody, request).validated_data
        row, token = create_feed(
            name=body["name"],
            filters=body.get("filters", {}),
            ends_on=body.get("ends_on"),
            actor=request.person,
            now=request.now,
        )
        address = request.build_absolute_uri(f"{request.path}/{token}.ics")
        return Response({**FeedOut(row).data, "address": address}, status=201)

    @extend_schema(responses={204: None})
    def destroy(self, request: ServiceRequest, key: UUID) -> Response:
        """End a feed: one's own, anybody's for an administrator."""
        revoke_feed(feed_id=key, actor=request.person, now=request.now)
        return Response(status=204)


class ExpiryFeedView(ServiceView):
    """A feed, read by whoever has its address."""

    roles = {"get": ANONYMOUS}
    authentication_classes = ()  # type: ignore[assignment]  # the address is all that there is
    renderer_classes = (CalendarForm,)

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """Return the one form there is: calendar programs accept all sorts of things."""
        return CalendarForm(), CalendarForm.media_type

    @extend_schema(operation_id="expiries_feeds_read", responses={(200, "text/calendar"): OpenApiTypes.STR})
    def get(self, request: ServiceRequest, token: str) -> HttpResponse:
        """The papers that end and are missing, as the feed's owner may see them now, in the owner's language."""
        feed = feed_in_force(token, now=request.now)
        if feed is None or READS_FEEDS.isdisjoint(feed.person.current_roles):
            raise NotFound("feed_unknown")
        language = feed.person.language
        expiries = expiries_for(feed.person, question_from(feed.filters), now=request.now)
        with translation.override(language):
            content = expiry_calendar(
                whole_list(expiries),
                feed=feed,
                language=language,
                today=expiries.day.today,
                address=request.build_absolute_uri("/")[:-1],
            )
        note_reading(feed=feed, now=request.now)
        return calendar_answer(content)
