"""The base of every view of the API: roles, query, versions, repetition and language are seen to before its handler."""

import logging
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.db import Error
from django.db.models import Model
from django.http import HttpResponseBase
from django.views import View
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from common import messages
from common.api.answers import Answer
from common.api.bodies import Body, NothingBody
from common.api.filters import StrictFilterBackend, StrictQueryMixin
from common.api.idempotency import IdempotentMixin
from common.api.permissions import RoleMap, RolePermission, action_name
from common.errors import PreconditionRequired, Unreadable
from common.messages import Message, activate_for, current_language

_STRONG = re.compile(r'"(\d{1,16})(-[0-9a-f]{16})?"', re.ASCII)
_TAG = re.compile(r'(W/)?"[\x21\x23-\x7e\x80-\xff]*"')


def set_etag(response: HttpResponseBase, version: int) -> None:
    """Tell a row's version in the answer; `EntityTagMiddleware` puts a hash of all that is shown behind it."""
    response.headers["ETag"] = f'"{version}"'


def expected_version(request: Request) -> int | None:
    """Return the version that the caller saw, for a service to compare under its lock; None for one there never was.

    The version alone counts: what else the tag covers, as the language and people's names, may have changed. A weak
    tag never matches, since If-Match compares strongly.
    Raises PreconditionRequired `if_match_required` (also for `*`, which names no version) and Unreadable
    `if_match_malformed`.
    """
    given = request.headers.get("If-Match", "").strip()
    if given in {"", "*"}:
        raise PreconditionRequired("if_match_required")
    if not _TAG.fullmatch(given):
        raise Unreadable("if_match_malformed")
    match = _STRONG.fullmatch(given)
    return int(match.group(1)) if match else None


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


logger = logging.getLogger(__name__)

M = TypeVar("M", bound=Model)


def rows_shown(rows: Iterable[M], body: Callable[[M], Any]) -> tuple[list[Any], list[Mapping[str, str]]]:
    """The bodies of the rows, and the key and a sentence of each that none could be made of; the log says why."""
    shown: list[Any] = []
    unreadable: list[Mapping[str, str]] = []
    for row in rows:
        try:
            shown.append(body(row))
        except Error:  # of the database: no fault of the row
            raise
        except Exception:
            logger.exception("%s %s cannot be shown", row._meta.label_lower, row.pk)  # noqa: SLF001 - Django's documented model API
            says = messages.render(Message("row_unreadable"), current_language())
            unreadable.append({"id": str(row.pk), "says": says})
    return shown, unreadable


class ApiMixin(IdempotentMixin, StrictQueryMixin):
    """What both kinds of views share. A view lists `roles` for each action, else nobody may call it."""

    http_method_names = [name for name in View.http_method_names if name not in {"options", "trace"}]
    """`Allow` says what is answered: nothing is described by OPTIONS that is not in the OpenAPI document."""
    permission_classes: Sequence[type[BasePermission]] = (RolePermission,)
    roles: RoleMap = {}
    if_match: frozenset[str] = frozenset()
    """Actions that need If-Match; read the version with `common.api.views.expected_version`."""

    def perform_authentication(self, request: Request) -> None:
        """Find out who asks, and speak the person's language from here on."""
        super().perform_authentication(request)
        activate_for(request.user)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse before the handler what it could not answer."""
        super().initial(request, *args, **kwargs)
        if action_name(self, request) in self.if_match:
            expected_version(request)


class ApiView(ApiMixin, APIView):
    """A view with a handler per method; `roles` by lower-case method."""


class ApiViewSet(ApiMixin, GenericViewSet[Any]):
    """A view with actions over rows of one model; `roles` by action."""

    filter_backends = (StrictFilterBackend,)
