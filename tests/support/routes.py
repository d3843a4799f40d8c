"""Every operation of the API, found in the addresses themselves, so that none can be left out of a test."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver
from rest_framework.views import APIView

PREFIX = "api/v1/"
NO_KEY = "019a0000-0000-7000-8000-000000000404"
PLACES = {"uuid": NO_KEY, "key": NO_KEY, "unit": "ZZ-404", "str": "nowhere", "int": "404"}
"""What stands in an address for each kind of name: something that there is not."""

_NAMED = re.compile(r"<(?:(\w+):)?(\w+)>")


@dataclass(frozen=True)
class Operation:
    """One method of one address, with the view and action behind it."""

    method: str
    route: str
    view: type[APIView]
    action: str

    @property
    def name(self) -> str:
        """As the tables of the tests name it: `GET /units/{ref}`."""
        return f"{self.method} /{_NAMED.sub(lambda match: f'{{{match[2]}}}', self.route)}"

    @property
    def path(self) -> str:
        """The address with names of nothing in it."""
        return _NAMED.sub(lambda match: PLACES[match[1] or "str"], self.route)

    def path_to(self, *names: str) -> str:
        """The address with these names in it, in order."""
        given = iter(names)
        return _NAMED.sub(lambda _: next(given), self.route)


def operations() -> list[Operation]:
    """Every operation of version 1, by name."""
    return sorted(_operations(get_resolver().url_patterns, ""), key=lambda operation: operation.name)


def _operations(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[Operation]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _operations(pattern.url_patterns, route)
        elif route.startswith(PREFIX):
            yield from _of_view(pattern, route.removeprefix(PREFIX))


def _of_view(pattern: URLPattern, route: str) -> Iterator[Operation]:
    view = getattr(pattern.callback, "cls", None)
    if view is None:
        msg = f"{route} is answered by no view of the API"
        raise TypeError(msg)
    routed = getattr(pattern.callback, "actions", None)
    if routed is None:
        routed = {name: name for name in ("get", "post", "put", "patch", "delete") if hasattr(view, name)}
    for method, action in routed.items():
        if method != "head":
            yield Operation(method.upper(), route, view, action)
