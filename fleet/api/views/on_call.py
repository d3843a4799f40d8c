"""Who is on call, and when: urgent notices go to them first."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from fleet.api.base import ServiceViewSet
from fleet.api.filters import OnCallFilter
from fleet.api.names import person_in_body, site_in_body
from fleet.api.parsed import NothingBody, parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import DESKS, READERS_OF_ROSTER
from fleet.api.serializers.on_call import OnCallBody, OnCallOut
from fleet.models import OnCallTurn
from fleet.services.carrier.on_call import enter_turn, withdraw_turn


class OnCallViewSet(ServiceViewSet):
    """The roster: turns are entered and withdrawn, never edited."""

    roles = {"list": READERS_OF_ROSTER, "create": DESKS, "withdraw": DESKS}
    filterset_class = OnCallFilter
    ordering = ("-starts_at",)
    output = OnCallOut
    queryset = OnCallTurn.objects.select_related("person", "site", "recorded_by")

    @extend_schema(responses=OnCallOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Turns, the latest first; those withdrawn only when asked for."""
        return self.listed()

    @extend_schema(request=OnCallBody, responses={201: OnCallOut})
    def create(self, request: ServiceRequest) -> Response:
        """Put somebody on call. What is urgent then goes to them rather than to everyone of that role at the site."""
        body = parsed(OnCallBody, request).validated_data
        person = person_in_body(body.pop("person"), "/person")
        site = site_in_body(body.pop("site", None), "/site")
        turn = enter_turn(
            person_id=person.pk,
            site_id=None if site is None else site.pk,
            actor=request.person,
            now=request.now,
            **body,
        )
        return self.shown(turn, 201)

    @extend_schema(request=NothingBody, responses=OnCallOut)
    def withdraw(self, request: ServiceRequest, key: UUID) -> Response:
        """Take a turn back from now on; it stays on record."""
        parsed(NothingBody, request)
        return self.shown(withdraw_turn(turn_id=key, actor=request.person, now=request.now))
