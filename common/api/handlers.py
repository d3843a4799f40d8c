"""What a handler of a view takes and gives: read before it runs, and told to the OpenAPI document."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from rest_framework.request import Request
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body, NothingBody

V = TypeVar("V")
Q = TypeVar("Q", bound=Request)
B = TypeVar("B", bound=Body)
P = ParamSpec("P")
H = TypeVar("H", bound=Callable[..., Any])


def takes(
    body: type[B],
) -> Callable[[Callable[Concatenate[V, Q, B, P], Response]], Callable[Concatenate[V, Q, P], Response]]:
    """Read the request's body before the handler looks anything up, and give it to the handler; Invalid `invalid`."""

    def around(handler: Callable[Concatenate[V, Q, B, P], Response]) -> Callable[Concatenate[V, Q, P], Response]:
        @wraps(handler)
        def read(view: V, request: Q, /, *args: P.args, **kwargs: P.kwargs) -> Response:
            return handler(view, request, body.read(request), *args, **kwargs)

        read.takes = body  # type: ignore[attr-defined]  # read by `common.api.schema`
        return read

    return around


def takes_nothing(handler: Callable[Concatenate[V, Q, P], Response]) -> Callable[Concatenate[V, Q, P], Response]:
    """Refuse a body that has fields: the move is said by its address; Invalid `invalid`."""

    @wraps(handler)
    def read(view: V, request: Q, /, *args: P.args, **kwargs: P.kwargs) -> Response:
        NothingBody.read(request)
        return handler(view, request, *args, **kwargs)

    read.takes = NothingBody  # type: ignore[attr-defined]  # read by `common.api.schema`
    return read


def gives(answer: type[Answer]) -> Callable[[H], H]:
    """Say that a handler answers with another model than its view's `shows`."""

    def around(handler: H) -> H:
        handler.gives = answer  # type: ignore[attr-defined]  # read by `common.api.schema`
        return handler

    return around


def shared(handler: H) -> H:
    """Say that a handler is inherited by many views: the document takes its words from the view."""
    handler.shared = True  # type: ignore[attr-defined]  # read by `common.api.schema`
    return handler
