"""Yards, docks and shops over HTTP, named by their codes."""

from datetime import date
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Q
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import OpenFilter
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Day, Flag, Text, Whole
from common.api.views import expected_version, takes
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.roles import ADMINISTRATOR
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.models import Site
from fleet.selectors.carrier.carrier import carriers_day, site_state
from fleet.services.carrier.sites import close_site, create_site, edit_site
from fleet.transitions import SITE

MOST_BAYS = 500


class SiteBody(Body):
    """A yard, dock or shop; `bays` are its repair places, 0 where there is no shop."""

    code: Annotated[str, Text(24)]
    name: Annotated[str, Text(120)]
    address: Annotated[str, Text(1000, multiline=True, may_be_blank=True)] = ""
    time_zone: Annotated[str, Text(64)]
    bays: Annotated[int, Whole(most=MOST_BAYS)] = ABSENT
    has_signal: Flag = ABSENT


class SiteChange(SiteBody, partial=True):
    """What changes of a site."""


class CloseBody(Body):
    """The last day of a site."""

    closed_on: Day


class SiteAnswer(Answer):
    """A site."""

    id: UUID
    code: str
    name: str
    address: str
    time_zone: str
    bays: int
    has_signal: bool
    closed_on: date | None
    version: int
    allowed_actions: list[str]


class SiteFilter(StrictFilterSet):
    """Sites; closed ones only when asked for."""

    open = OpenFilter(Q(closed_on__isnull=True), by_default=True)


class SiteViewSet(ListMixin, ReadMixin):
    """Sites by code."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": ADMINISTRATOR,
        "partial_update": SITE.roles_for("edit"),
        "close": SITE.roles_for("close"),
    }
    if_match = frozenset({"partial_update", "close"})
    filterset_class = SiteFilter
    ordering = ("code",)
    shows = SiteAnswer
    unknown = "site_unknown"
    queryset = Site.objects.all()

    def named(self, name: str) -> Q:
        """Return the condition that a site has a code."""
        return Q(code=name)

    def answer_of(self, row: Any) -> SiteAnswer:
        return SiteAnswer.of(row, allowed_actions=SITE.allowed_actions(site_state(row), self.caller_roles))

    @takes(SiteBody)
    def create(self, request: ServiceRequest, body: SiteBody) -> Response:
        """Add a site."""
        site = create_site(facts=body.changes(), actor=request.person)
        return self.created(site, f"{request.path}/{site.code}")

    @takes(SiteChange)
    def partial_update(self, request: ServiceRequest, body: SiteChange, code: str) -> Response:
        """Change what is given."""
        version = expected_version(request)
        return self.shown(
            edit_site(site_id=self.one(code).pk, version=version, changes=body.changes(), actor=request.person)
        )

    @takes(CloseBody)
    def close(self, request: ServiceRequest, body: CloseBody, code: str) -> Response:
        """Close a site for good; what happened there stays."""
        site = close_site(
            site_id=self.one(code).pk,
            version=expected_version(request),
            closed_on=body.closed_on,
            today=carriers_day(request.now),
            actor=request.person,
        )
        return self.shown(site)
