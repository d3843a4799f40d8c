"""What views outside the API framework share with those inside. Holds no view."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from django.http import HttpRequest, HttpResponseBase

from common.errors import unknown_parameters

P = ParamSpec("P")
A = TypeVar("A", bound=HttpResponseBase)


def without_query(view: Callable[Concatenate[HttpRequest, P], A]) -> Callable[Concatenate[HttpRequest, P], A]:
    """Refuse every query parameter (Unreadable `unknown_parameter`): the view would answer as if it were not there."""

    @wraps(view)
    def checked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> A:
        if request.GET:
            raise unknown_parameters(request.GET, ())
        return view(request, *args, **kwargs)

    return checked


def under_policy(policy: str) -> Callable[[Callable[P, A]], Callable[P, A]]:
    """Answer with a Content-Security-Policy of the view's own, in the place of the one for all pages."""

    def around(view: Callable[P, A]) -> Callable[P, A]:
        @wraps(view)
        def under(*args: P.args, **kwargs: P.kwargs) -> A:
            response = view(*args, **kwargs)
            response.headers["Content-Security-Policy"] = policy
            return response

        return under

    return around
