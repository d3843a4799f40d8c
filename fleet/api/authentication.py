"""Who is calling: the bearer token of one device (RFC 6750), looked up in one statement."""

from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.request import Request

from common.api.language import activate_for
from common.errors import NotSignedIn
from fleet.api.requests import ServiceRequest
from fleet.models import DeviceToken, Person
from fleet.selectors.people.sign_in import token_in_force
from fleet.services.people.sign_in import renew_token

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
            msg = "a view that asks who is calling must be made from the views of fleet.api.base"
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
