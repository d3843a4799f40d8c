"""What Django's system check says about the views: each action names who may call it, and names only what is there."""

from collections.abc import Iterable, Iterator, Sequence

from django.urls import URLPattern, URLResolver, get_resolver
from rest_framework.views import APIView

from common.api.permissions import ANONYMOUS, Anyone, RolePermission, role_rule
from common.api.views import ApiMixin

FOREIGN = ("drf_spectacular.",)
"""Views of libraries and what is made of them name no roles: the API's own documentation is open to everybody."""


def role_faults(patterns: Sequence[URLPattern | URLResolver]) -> list[str]:
    """Return what is wrong with the views behind these addresses; an empty list when nothing is."""
    return [fault for view, actions in views_behind(patterns) for fault in _faults(view, actions)]


def views_behind(patterns: Sequence[URLPattern | URLResolver]) -> list[tuple[type[APIView], frozenset[str]]]:
    """Return each API view of our own behind these addresses with the actions it answers, by name of the view."""
    found: dict[type[APIView], set[str]] = {}
    for pattern in _flat(patterns):
        view = getattr(pattern.callback, "cls", None)
        if isinstance(view, type) and issubclass(view, APIView) and not _is_foreign(view):
            found.setdefault(view, set()).update(_actions(view, getattr(pattern.callback, "actions", None)))
    names = sorted(found, key=lambda view: (view.__module__, view.__qualname__))
    return [(view, frozenset(found[view])) for view in names]


def _is_foreign(view: type[APIView]) -> bool:
    return any(each.__module__.startswith(FOREIGN) for each in view.__mro__)


def service_faults() -> list[str]:
    """Return the faults of the whole service's views."""
    return role_faults(get_resolver().url_patterns)


def _flat(patterns: Iterable[URLPattern | URLResolver]) -> Iterator[URLPattern]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from _flat(pattern.url_patterns)
        else:
            yield pattern


def _actions(view: type[APIView], routed: dict[str, str] | None) -> Iterable[str]:
    if routed is not None:
        return routed.values()
    return [name for name in view.http_method_names if name != "head" and hasattr(view, name)]


def _faults(view: type[APIView], actions: frozenset[str]) -> Iterator[str]:
    name = f"{view.__module__}.{view.__qualname__}"
    if not issubclass(view, ApiMixin):
        yield f"{name} is no ApiView or ApiViewSet"
        return
    if tuple(view.permission_classes) != (RolePermission,):
        yield f"{name} is not guarded by RolePermission alone"
    for action in sorted(actions):
        rule = role_rule(view, action)
        if rule is None or not (isinstance(rule, Anyone) or rule):
            yield f"{name} does not say who may {action}"
        if rule is ANONYMOUS and action in {"post", "create"} and view.idempotency != "none":
            yield f"{name} cannot keep the answer of a caller it does not know"
    yield from (f"{name} names roles for {action}, which it has not" for action in sorted(set(view.roles) - actions))
    yield from (f"{name} wants If-Match for {action}, which it has not" for action in sorted(view.if_match - actions))
