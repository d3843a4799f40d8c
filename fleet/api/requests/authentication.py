"""The request, with the instant it is answered at and who is calling: by the bearer token of one device (RFC 6750).

A call of the pages, in process, is by the session that names such a token.
"""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.handlers.wsgi import WSGIRequest
from django.http import HttpRequest
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.request import Request

from common.errors import NotSignedIn
from common.messages import activate_for
from fleet.models import DeviceToken, Person
from fleet.selectors.people.sign_in import token_in_force, token_in_force_named
from fleet.services.people.tokens import renew_token


class ServiceRequest(Request):
    """A request with `now`, the instant read once when it came in, in UTC."""

    now: datetime

    @property
    def person(self) -> Person:
        """Who is signed in. TypeError where a view answers strangers."""
        return person_behind(self)

    @property
    def token(self) -> DeviceToken:
        """The device token that the person signed in with. TypeError where a view answers strangers."""
        if not isinstance(self.auth, DeviceToken):
            msg = "nobody is signed in"
            raise TypeError(msg)
        return self.auth

    @property
    def file(self) -> bytes:
        """The body of a request to a view that reads files. TypeError elsewhere."""
        content: object = self.data or b""
        if not isinstance(content, bytes):
            msg = "this view does not read files"
            raise TypeError(msg)
        return content


def person_behind(request: Request) -> Person:
    """Return who is signed in. TypeError where a view answers strangers."""
    if not isinstance(request.user, Person):
        msg = "nobody is signed in"
        raise TypeError(msg)
    return request.user


def service_request(request: HttpRequest | Request | None) -> ServiceRequest:
    """Return the request as the views of this service see it; TypeError for any other.

    The libraries hand views and filter sets a request whose type they do not know.
    """
    found: object = request
    if not isinstance(found, ServiceRequest):
        msg = "this is asked by the views of this service"
        raise TypeError(msg)
    return found


SCHEME = "Bearer"


class DeviceTokenAuthentication(BaseAuthentication):
    """`Authorization: Bearer <token>`; no header means nobody.

    NotSignedIn `authentication_failed` for a token that is unknown, ended or revoked, or whose person has left.
    """

    def authenticate(self, request: Request) -> tuple[Person, DeviceToken] | None:
        """The person, with `current_roles` set, and the token's row; words from here on in their language."""
        token = token_sent(request)
        if token is None:
            return None
        if not isinstance(request, ServiceRequest):
            msg = "a view that asks who is calling must be made from the views of fleet.api.requests.views"
            raise TypeError(msg)
        found = token_in_force(token, now=request.now)
        if found is None:
            raise NotSignedIn("authentication_failed")
        renew_token(token=found, now=request.now)
        activate_for(found.person)
        return found.person, found

    def authenticate_header(self, request: Request) -> str:
        """What an answer 401 asks for."""
        return SCHEME


@dataclass
class PageSession:
    """Who is signed in to the pages: the device token that the browser's session names, found once for all calls."""

    token_id: UUID
    token: DeviceToken | None = None


class PageRequest(WSGIRequest):
    """A request that the pages make in process. Nothing that comes over the network makes one, or sets its session."""

    page_session: PageSession | None = None


class PageSessionAuthentication(BaseAuthentication):
    """The person of a session of the pages, by nothing but the attribute above; NotSignedIn as for a token."""

    def authenticate(self, request: Request) -> tuple[Person, DeviceToken]:
        """The same as of the device's token, which the session ends with."""
        session, now = page_session_of(request._request), service_request(request).now  # noqa: SLF001 - there is no public way to what was handed in
        if session is None:
            raise NotSignedIn("authentication_failed")
        if session.token is None:
            session.token = token_in_force_named(session.token_id, now=now)
            if session.token is None:
                raise NotSignedIn("authentication_failed")
            renew_token(token=session.token, now=now)
        activate_for(session.token.person)
        return session.token.person, session.token

    def authenticate_header(self, request: Request) -> str:
        """What an answer 401 asks for."""
        return SCHEME


def page_session_of(request: HttpRequest) -> PageSession | None:
    """The session that a request was made for by the pages; None for every request from outside."""
    return request.page_session if isinstance(request, PageRequest) else None


def token_sent(request: Request) -> str | None:
    """The token that a request carries, whatever it is worth; None when it carries none."""
    words = get_authorization_header(request).split()
    if not words or words[0].lower() != SCHEME.lower().encode():
        return None
    return words[1].decode("ascii", "replace") if len(words) == 2 else ""  # noqa: PLR2004 - scheme and token
