"""Signing in and out over HTTP, the devices that are signed in, and who one is."""

from datetime import datetime
from typing import Annotated
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.authentication import BaseAuthentication
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.client_address import client_address
from common.api.filter_kinds import within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANONYMOUS, ANY_ROLE
from common.api.values import Word
from common.api.views import gives, takes
from fleet.api.people.bodies import OwnPasswordBody, SignInBody
from fleet.api.people.people import PersonAnswer, with_roles
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, token_sent
from fleet.api.requests.filters import PersonRefFilter
from fleet.api.requests.views import ListMixin, ServiceView
from fleet.enums import Role
from fleet.models import DeviceToken, Person
from fleet.selectors.people.visible import tokens_visible_to
from fleet.services.people.passwords import change_own_password
from fleet.services.people.sign_in import create_token, revoke_token


class TokenAnswer(Answer):
    """A device that is signed in."""

    id: UUID
    person: PersonShort
    device: str
    created_at: datetime
    expires_at: datetime = Field(description="Moves on with use, up to `ends_at`.")
    ends_at: datetime


class NewTokenAnswer(TokenAnswer):
    """A device that has just signed in; the token is told this once."""

    token: str
    set_password_first: bool = Field(
        description="Somebody else set the password: until it is changed at `/me/set-password`, nothing else answers."
    )
    signed_out: list[str] = Field(description="Devices that this signed out, because there were too many.")


class MeAnswer(Answer):
    """Who is signed in, as what, on which devices."""

    person: PersonAnswer
    current_roles: list[Annotated[str, Word(Role)]]
    devices: list[TokenAnswer]


class TokenFilter(StrictFilterSet):
    """Devices."""

    person = PersonRefFilter()
    since, until = within("created_at")


class TokenViewSet(ListMixin):
    """Devices that are signed in: one's own, everybody's for an administrator.

    One opaque token for each; it is told once and kept hashed.
    """

    roles = {"list": ANY_ROLE, "create": ANONYMOUS, "destroy": ANY_ROLE}
    idempotency = "none"
    filterset_class = TokenFilter
    ordering = ("-created_at",)
    shows = TokenAnswer

    def get_authenticators(self) -> list[BaseAuthentication]:
        """Ask nobody who signs in who they are: a phone may still send along a token that has ended."""
        signing_in = not self.being_described and self.request.method == "POST"
        return [] if signing_in else super().get_authenticators()

    def get_queryset(self) -> QuerySet[DeviceToken]:
        return self.visible(tokens_visible_to, DeviceToken).select_related("person")

    @gives(NewTokenAnswer)
    @takes(SignInBody)
    def create(self, request: ServiceRequest, body: SignInBody) -> Response:
        """Sign in with a name and a password.

        Send along the token that the device had before, though it has ended: attempts of others never lock out a
        device that is so known. At most 20 devices of a person are signed in; one more signs out one called like it, or
        else the one that was not used for the longest.
        """
        made = create_token(
            username=body.username,
            password=body.password,
            device=body.device,
            address=client_address(request),
            sent_along=token_sent(request) or "",
            now=request.now,
        )
        answer = NewTokenAnswer.of(
            made.row,
            token=made.token,
            set_password_first=made.row.person.sign_in_given,
            signed_out=[each.device for each in made.signed_out],
        )
        return Response(answer, status=201)

    def destroy(self, request: ServiceRequest, key: UUID) -> Response:
        """Sign a device out: one's own, anybody's for an administrator."""
        revoke_token(token_id=key, actor=request.person, now=request.now)
        return Response(status=204)


class MeView(ServiceView):
    """Who is signed in."""

    roles = {"get": ANY_ROLE}
    shows = MeAnswer

    def get(self, request: ServiceRequest) -> Response:
        """Oneself, with the roles in force and the devices signed in."""
        person = with_roles(Person.objects.filter(pk=request.person.pk)).get()
        devices = DeviceToken.objects.filter(person=person, revoked_at__isnull=True, expires_at__gt=request.now)
        roles = request.person.current_roles
        found = devices.select_related("person").order_by("-created_at", "pk")
        return Response(
            MeAnswer(
                person=PersonAnswer.for_roles(person, roles),
                current_roles=sorted(roles),
                devices=[TokenAnswer.of(device) for device in found],
            )
        )


class OwnPasswordView(ServiceView):
    """One's own password; the first thing, and the only one, after somebody else has set it."""

    before_own_password = True
    roles = {"post": ANY_ROLE}
    idempotency = "none"

    @extend_schema(operation_id="me_set_password", responses={204: None})
    @takes(OwnPasswordBody)
    def post(self, request: ServiceRequest, body: OwnPasswordBody) -> Response:
        """Change one's own password; every other device must sign in again."""
        change_own_password(
            current=body.current_password,
            password=body.password,
            token=request.token,
            address=client_address(request),
            actor=request.person,
            now=request.now,
        )
        return Response(status=204)
