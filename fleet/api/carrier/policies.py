"""What the carrier has decided, over HTTP: never edited, only followed by the next decision."""

from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer, InUtc
from common.api.bodies import Body
from common.api.filter_kinds import InstantFilter, KnownFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Instant, Text
from common.api.views import takes
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.roles import OFFICE
from fleet.api.requests.views import ListMixin
from fleet.models import Policy
from fleet.rules.carrier.policies import POLICIES
from fleet.services.carrier.policies import set_policy

ANY_VALUE = f"What each key takes, see `fleet.rules.carrier.policies`: {', '.join(POLICIES)}."
"""Why a decision's value has no listed form."""


class PolicyBody(Body):
    """A decision, from an instant on; at once when none is given."""

    key: Annotated[str, Text(64)]
    value: Any = Field(description=ANY_VALUE)
    valid_from: Instant | None = None
    reason: Annotated[str, Text(2000, multiline=True, may_be_blank=True)] = ""


class PolicyAnswer(Answer):
    """A decision that was taken; the newest one of its key whose time has come is in force."""

    id: UUID
    key: str
    value: Any = Field(description=ANY_VALUE)
    valid_from: InUtc
    reason: str
    set_by: PersonShort
    recorded_at: datetime
    from_console: bool = Field(description="Set at the server's console, where nobody second was asked.")


class PolicyFilter(StrictFilterSet):
    """Decisions; `at` leaves the newest of each key by an instant."""

    key = KnownFilter(known=POLICIES.__contains__, help_text="The decision's name.")
    at = InstantFilter(method="by_instant")
    since, until = within("valid_from")

    def by_instant(self, queryset: QuerySet[Any], _name: str, value: datetime) -> QuerySet[Any]:
        """Return what held at an instant."""
        newest = Policy.objects.filter(key=OuterRef("key"), valid_from__lte=value).order_by("-valid_from")
        return queryset.filter(pk=Subquery(newest.values("pk")[:1]))


class PolicyViewSet(ListMixin):
    """Decisions, newest first, past and coming ones among them."""

    roles = {"list": ANY_ROLE, "create": OFFICE}
    filterset_class = PolicyFilter
    ordering = ("-valid_from",)
    shows = PolicyAnswer
    queryset = Policy.objects.select_related("set_by")

    @takes(PolicyBody)
    def create(self, request: ServiceRequest, body: PolicyBody) -> Response:
        """Decide something from now on, or from an instant to come."""
        given = {"key": body.key, "value": body.value, "valid_from": body.valid_from, "reason": body.reason}
        return self.shown(set_policy(actor=request.person, now=request.now, **given), 201)
