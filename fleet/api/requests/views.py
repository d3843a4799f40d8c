"""The base of every view of this service: device tokens, and one instant per request. The habits are common.api's."""

from collections.abc import Callable, Iterable
from datetime import datetime
from http import HTTPStatus
from typing import Any, TypeVar

from django.db.models import Model, Q, QuerySet
from django.http import HttpRequest
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common import clock
from common.api.answers import Answer
from common.api.permissions import roles_of
from common.api.views import ApiView, ApiViewSet, rows_shown, set_etag, shared
from common.errors import NotAllowed, NotFound
from fleet.api.requests.authentication import (
    DeviceTokenAuthentication,
    PageSessionAuthentication,
    ServiceRequest,
    page_session_of,
    person_behind,
    service_request,
)
from fleet.models import Person


class DeviceTokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # the library's own
    """A bearer token for each device."""

    target_class = DeviceTokenAuthentication
    name = "device_token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "The token that POST /tokens told."}


R = TypeVar("R", bound=Model)


class TimedMixin(APIView):
    """Reads the clock once, when the request comes in, before anybody is asked who they are."""

    authentication_classes = (DeviceTokenAuthentication,)
    before_own_password = False
    """Whether it also answers a person whose password somebody else has set."""

    def perform_authentication(self, request: Request) -> None:
        """Find out who asks. NotAllowed `own_password_first` for a person who has not set an own password yet."""
        super().perform_authentication(request)
        if isinstance(request.user, Person) and request.user.sign_in_given and not self.before_own_password:
            raise NotAllowed("own_password_first")

    def initialize_request(self, request: HttpRequest, *_args: Any, **_kwargs: Any) -> Request:
        """Return the request with `now`."""
        made = ServiceRequest(
            request,
            parsers=self.get_parsers(),
            authenticators=self.get_authenticators()
            if page_session_of(request) is None
            else [PageSessionAuthentication()],
            negotiator=self.get_content_negotiator(),
            parser_context=self.get_parser_context(request),
        )
        made.now = clock.now()
        return made


class ServiceView(TimedMixin, ApiView):
    """A view with a handler for each method; handlers are given a `ServiceRequest`."""


class ServiceViewSet(ApiViewSet, TimedMixin):
    """A view with actions over rows of one model; handlers are given a `ServiceRequest`.

    `shows` is the model that it answers with, made by `answer_of`.
    """

    shows: type[Answer] | None = None
    unknown = "not_found"
    """The code of a row that is not there, or that the caller may not see."""

    def answer_of(self, row: Any) -> Answer:
        if self.shows is None:
            msg = f"{type(self).__name__} shows no answer"
            raise TypeError(msg)
        return self.shows.of(row)

    def named(self, name: Any) -> Q:
        """Return the condition by which an address names a row: its key, unless the view says otherwise."""
        return Q(pk=name)

    def one(self, name: Any) -> Any:
        """Return the row that an address names, among those that the caller may see; NotFound with `unknown`."""
        found = self.get_queryset().filter(self.named(name)).first()
        if found is None:
            raise NotFound(self.unknown)
        return found

    @property
    def being_described(self) -> bool:
        """Whether no one asks: the view is only looked at to write the API's description."""
        return bool(getattr(self, "swagger_fake_view", False))

    def visible(self, rows_for: Callable[[Person], QuerySet[R]], none: type[R]) -> QuerySet[R]:
        """Return the rows that the caller may see."""
        if self.being_described:
            return none._default_manager.none()  # noqa: SLF001 - Django's documented way to a model's manager
        return rows_for(person_behind(self.request))

    def prepare(self, rows: Iterable[Any], now: datetime) -> None:
        """Bring rows up to date before they are shown; nothing, unless the view says otherwise."""

    @property
    def caller_roles(self) -> frozenset[str]:
        """The roles in force of whoever asks."""
        return roles_of(self.request)

    def listed(self) -> Response:
        """Return one page of the rows that the query asks for."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        self.prepare(page, service_request(self.request).now)
        return self.paged(page, self.answer_of)

    def paged(self, page: Iterable[R], body: Callable[[R], Any]) -> Response:
        """Return one page with the body of each row; rows of which none can be made stand under `unreadable`."""
        shown, unreadable = rows_shown(page, body)
        response = self.get_paginated_response(shown)
        if unreadable:
            response.data["unreadable"] = unreadable
        return response

    def shown(self, row: object, status: int = HTTPStatus.OK) -> Response:
        """Return one row, with its ETag where people edit it."""
        response = Response(self.answer_of(row), status=status)
        if self.if_match and hasattr(row, "version"):
            set_etag(response, row.version)
        return response

    def created(self, row: object, place: str) -> Response:
        """Return a new row and where it can be read."""
        response = self.shown(row, HTTPStatus.CREATED)
        response.headers["Location"] = place
        return response


class ListMixin(ServiceViewSet):
    """Lists the rows of `get_queryset`; the document takes the words from the view."""

    @shared
    def list(self, _request: ServiceRequest) -> Response:
        """Return a page of them."""
        return self.listed()


class ReadMixin(ServiceViewSet):
    """Reads one row of `get_queryset` by the name in its address."""

    @shared
    def retrieve(self, request: ServiceRequest, **name: Any) -> Response:
        """Return it."""
        [named] = name.values()
        row = self.one(named)
        self.prepare([row], request.now)
        return self.shown(row)
