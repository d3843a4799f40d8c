"""Who is asking, for filter sets: the library hands them a request whose type it does not know."""

from django.http import HttpRequest

from fleet.api.requests import ServiceRequest


def asking(request: HttpRequest | None) -> ServiceRequest:
    """Return the request as the views of this service see it; TypeError for any other."""
    found: object = request
    if not isinstance(found, ServiceRequest):
        msg = "a filter set is asked by the views of this service"
        raise TypeError(msg)
    return found
