"""The request, with the instant it is answered at and who is calling: by the bearer token of one device (RFC 6750)."""

from datetime import datetime

from django.http import HttpRequest
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.request import Request

from common.errors import NotSignedIn
from common.messages import activate_for
from fleet.models import DeviceToken, Person
from fleet.selectors.people.sign_in import token_in_force
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


def token_sent(request: Request) -> str | None:
    """The token that a request carries, whatever it is worth; None when it carries none."""
    words = get_authorization_header(request).split()
    if not words or words[0].lower() != SCHEME.lower().encode():
        return None
    return words[1].decode("ascii", "replace") if len(words) == 2 else ""  # noqa: PLR2004 - scheme and token
