"""The request as the views of this service see it: with the one instant at which it is answered."""

from datetime import datetime

from django.http import HttpRequest
from rest_framework.request import Request

from fleet.models import DeviceToken, Person


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
