"""Who is on call, and when, over HTTP: urgent notifications go to them first."""

from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from rest_framework.response import Response

from common.api.answers import Answer, InUtc
from common.api.bodies import Body
from common.api.filter_kinds import InstantFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Instant, Text, Uuid, Word
from common.api.views import takes, takes_nothing
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import PersonRefFilter, SiteRefFilter
from fleet.api.requests.references import code_of, person_in_body, site_in_body
from fleet.api.requests.roles import DESKS, READERS_OF_ROSTER
from fleet.api.requests.views import ListMixin
from fleet.enums import Role
from fleet.models import OnCallShift
from fleet.models.base import choices
from fleet.services.carrier.on_call import enter_shift, withdraw_shift


class OnCallBody(Body):
    """Who is on call in a role from an instant to an instant, for one site (its code) or everywhere."""

    person: Uuid
    role: Role
    site: Annotated[str, Text(24)] | None = None
    starts_at: Instant
    ends_at: Instant


class OnCallAnswer(Answer):
    """A shift, with who entered it, and when it was withdrawn if it was."""

    id: UUID
    person: PersonShort
    role: Annotated[str, Word(Role)]
    site: str | None
    starts_at: InUtc
    ends_at: InUtc
    recorded_at: datetime
    recorded_by: PersonShort
    withdrawn_at: datetime | None


class OnCallFilter(StrictFilterSet):
    """Shifts of the roster; withdrawn ones only when asked for."""

    person = PersonRefFilter()
    role = filters.ChoiceFilter(choices=choices(Role))
    site = SiteRefFilter("site__code")
    at = InstantFilter(method="by_instant")
    open = OpenFilter(Q(withdrawn_at__isnull=True), by_default=True)
    since, until = within("starts_at")

    def by_instant(self, queryset: QuerySet[Any], _name: str, value: datetime) -> QuerySet[Any]:
        return queryset.filter(starts_at__lte=value, ends_at__gt=value)


class OnCallViewSet(ListMixin):
    """Shifts of the roster, the latest first; those withdrawn only when asked for.

    They are entered and withdrawn, never edited.
    """

    roles = {"list": READERS_OF_ROSTER, "create": DESKS, "withdraw": DESKS}
    filterset_class = OnCallFilter
    ordering = ("-starts_at",)
    shows = OnCallAnswer
    queryset = OnCallShift.objects.select_related("person", "site", "recorded_by")

    def answer_of(self, row: Any) -> OnCallAnswer:
        return OnCallAnswer.of(row, site=code_of(row.site))

    @takes(OnCallBody)
    def create(self, request: ServiceRequest, body: OnCallBody) -> Response:
        """Put somebody on call. What is urgent then goes to them rather than to everyone of that role at the site."""
        person = person_in_body(body.person, "/person")
        site = site_in_body(body.site, "/site")
        shift = enter_shift(
            person_id=person.pk,
            site_id=None if site is None else site.pk,
            role=body.role,
            starts_at=body.starts_at,
            ends_at=body.ends_at,
            actor=request.person,
            now=request.now,
        )
        return self.shown(shift, 201)

    @takes_nothing
    def withdraw(self, request: ServiceRequest, key: UUID) -> Response:
        """Take a turn back from now on; it stays on record."""
        return self.shown(withdraw_shift(shift_id=key, actor=request.person, now=request.now))
