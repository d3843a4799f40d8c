"""Signing in and out, the devices that are signed in, and who one is."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.authentication import BaseAuthentication
from rest_framework.response import Response

from common.api.client_address import client_address
from common.api.permissions import ANONYMOUS, ANY_ROLE
from fleet.api.authentication import token_sent
from fleet.api.base import ServiceView, ServiceViewSet
from fleet.api.filters import TokenFilter
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.serializers.people import MeOut, NewTokenOut, OwnPasswordBody, SignInBody, TokenOut
from fleet.api.views.people import with_roles
from fleet.models import DeviceToken, Person
from fleet.selectors.people.visible import tokens_visible_to
from fleet.services.people.own_password import change_own_password
from fleet.services.people.sign_in import create_token
from fleet.services.people.tokens import revoke_token


class TokenViewSet(ServiceViewSet):
    """One opaque token for each device; it is told once and kept hashed."""

    roles = {"list": ANY_ROLE, "create": ANONYMOUS, "destroy": ANY_ROLE}
    idempotency = "none"
    problem_statuses = {"create": frozenset({401, 429})}
    filterset_class = TokenFilter
    ordering = ("-created_at",)
    output = TokenOut

    def get_authenticators(self) -> list[BaseAuthentication]:
        """Ask nobody who signs in who they are: a phone may still send along a token that has ended."""
        signing_in = not self.being_described and self.request.method == "POST"
        return [] if signing_in else super().get_authenticators()

    def get_queryset(self) -> QuerySet[DeviceToken]:
        """Return the devices that the caller may see."""
        return self.visible(tokens_visible_to, DeviceToken).select_related("person")

    @extend_schema(responses=TokenOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Devices that are signed in: one's own, everybody's for an administrator."""
        return self.listed()

    @extend_schema(request=SignInBody, responses={201: NewTokenOut})
    def create(self, request: ServiceRequest) -> Response:
        """Sign in with a name and a password.

        Send along the token that the device had before, though it has ended: attempts of others never lock out a
        device that is so known. At most 20 devices of a person are signed in; one more signs out one called like it, or
        else the one that was not used for the longest.
        """
        body = parsed(SignInBody, request).validated_data
        made = create_token(
            address=client_address(request), sent_along=token_sent(request) or "", now=request.now, **body
        )
        return Response(NewTokenOut(made).data, status=201)

    @extend_schema(responses={204: None})
    def destroy(self, request: ServiceRequest, key: UUID) -> Response:
        """Sign a device out: one's own, anybody's for an administrator."""
        revoke_token(token_id=key, actor=request.person, now=request.now)
        return Response(status=204)


class MeView(ServiceView):
    """Who is signed in."""

    roles = {"get": ANY_ROLE}

    @extend_schema(responses=MeOut)
    def get(self, request: ServiceRequest) -> Response:
        """Oneself, with the roles in force and the devices signed in."""
        person = with_roles(Person.objects.filter(pk=request.person.pk)).get()
        devices = DeviceToken.objects.filter(person=person, revoked_at__isnull=True, expires_at__gt=request.now)
        roles = sorted(request.person.current_roles)
        me = {
            "person": person,
            "current_roles": roles,
            "devices": devices.select_related("person").order_by("-created_at", "pk"),
        }
        return Response(MeOut(me, context={"roles": request.person.current_roles}).data)


class OwnPasswordView(ServiceView):
    """One's own password; the first thing, and the only one, after somebody else has set it."""

    before_own_password = True
    roles = {"post": ANY_ROLE}
    idempotency = "none"
    problem_statuses = {"post": frozenset({429})}

    @extend_schema(operation_id="me_set_password", request=OwnPasswordBody, responses={204: None})
    def post(self, request: ServiceRequest) -> Response:
        """Change one's own password; every other device must sign in again."""
        body = parsed(OwnPasswordBody, request).validated_data
        change_own_password(
            current=body["current_password"],
            password=body["password"],
            token=request.token,
            address=client_address(request),
            actor=request.person,
            now=request.now,
        )
        return Response(status=204)
