"""Feeds of the expiry list for calendar programs, which sign in with nothing but an address."""

from datetime import date, datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponse
from django.utils import translation
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from pydantic import Field, with_config
from rest_framework.request import Request
from rest_framework.response import Response
from typing_extensions import TypedDict

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANONYMOUS, ANY_ROLE
from common.api.values import Choice, Day, Text, Uuid, Whole
from common.api.views import gives, takes
from common.errors import NotFound
from fleet.api.documents.expiries import CalendarForm, calendar_answer
from fleet.api.documents.expiry_calendar import expiry_calendar
from fleet.api.documents.expiry_filter import LONGEST_HORIZON_DAYS, question_from
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import PersonRefFilter
from fleet.api.requests.views import ListMixin, ServiceView
from fleet.api.units.short import UnitRef
from fleet.models import FeedToken
from fleet.rules.documents.kinds import SUBJECTS
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds
from fleet.selectors.documents.expiries.listing import expiries_for, whole_list
from fleet.selectors.people.sign_in import feed_in_force
from fleet.selectors.people.visible import feeds_visible_to
from fleet.services.documents.feeds import READS_FEEDS, create_feed, note_reading, revoke_feed


class FeedFilters(Body):
    """What a feed shows, as the query of the list would say it; days count from the day of each reading."""

    within_days: Annotated[int, Whole(most=LONGEST_HORIZON_DAYS)] = ABSENT
    kind: Annotated[str, Choice([*load_document_kinds(), *qualification_kinds()])] = ABSENT
    subject: Annotated[str, Choice(sorted(SUBJECTS))] = ABSENT
    site: Annotated[str, Text(24)] = ABSENT
    unit: UnitRef = ABSENT
    person: Uuid = ABSENT
    responsible: Uuid = ABSENT


class FeedBody(Body):
    """A feed under a name of one's own."""

    name: Annotated[str, Text(80)]
    filters: FeedFilters = FeedFilters()
    ends_on: Day = Field(default=ABSENT, description="The last day, a year from today at most and without it.")


@with_config(json_schema_extra=lambda described: described.pop("required"), extra="forbid")  # each may be absent
class FeedShown(TypedDict, total=False):
    """What a feed shows."""

    within_days: int
    kind: str
    subject: str
    site: str
    unit: str
    person: UUID
    responsible: UUID


class FeedAnswer(Answer):
    """A feed of a calendar program; its address is told once, when it is made."""

    id: UUID
    person: PersonShort
    name: str
    filters: FeedShown
    created_at: datetime
    ends_on: date = Field(description="The last day; the feed itself tells of it in the month before.")
    last_used_at: datetime | None = Field(description="To the hour.")


class NewFeedAnswer(FeedAnswer):
    """A feed that has just been made."""

    address: str = Field(description="Whoever has it can read the feed; told this once.")


class FeedFilter(StrictFilterSet):
    """Feeds of the expiry list."""

    person = PersonRefFilter()
    since, until = within("created_at")


class ExpiryFeedViewSet(ListMixin):
    """Feeds that were not revoked: one's own, everybody's for an administrator.

    Calendar programs read them; the address is told once and its token kept hashed.
    """

    roles = {"list": ANY_ROLE, "create": READS_FEEDS, "destroy": ANY_ROLE}
    idempotency = "none"
    filterset_class = FeedFilter
    ordering = ("-created_at",)
    shows = FeedAnswer
    tag = "expiry-feeds"

    def get_queryset(self) -> QuerySet[FeedToken]:
        return self.visible(feeds_visible_to, FeedToken).select_related("person")

    @gives(NewFeedAnswer)
    @takes(FeedBody)
    def create(self, request: ServiceRequest, body: FeedBody) -> Response:
        """Make a feed, for a year unless you say less.

        Its address ends with its last day, with the last role that may make one, with leaving, with a new password of
        yours, or when it is revoked.
        """
        row, token = create_feed(
            name=body.name, filters=body.filters.changes(), ends_on=body.ends_on, actor=request.person, now=request.now
        )
        address = request.build_absolute_uri(f"{request.path}/{token}.ics")
        return Response(NewFeedAnswer.of(row, address=address), status=201)

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

    @extend_schema(responses={(200, "text/calendar"): OpenApiTypes.STR})
    def get(self, request: ServiceRequest, token: str) -> HttpResponse:
        """The documents that end and are missing, as the feed's owner may see them now, in the owner's language."""
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
