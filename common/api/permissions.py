"""Who may call: the roles that a view lists for each of its actions; what is not listed is refused."""

from collections.abc import Mapping
from enum import Enum
from typing import TYPE_CHECKING, Final, Protocol

from rest_framework.exceptions import MethodNotAllowed
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from common.errors import NotAllowed

if TYPE_CHECKING:  # the framework's views import this module, because the settings name it
    from rest_framework.views import APIView


class Anyone(Enum):
    """Rules that name no role."""

    ANY_ROLE = "any role"
    ANONYMOUS = "anonymous"


ANY_ROLE: Final = Anyone.ANY_ROLE
"""Every signed-in person who has a role at present."""
ANONYMOUS: Final = Anyone.ANONYMOUS
"""Also callers who are not signed in."""

RoleRule = frozenset[str] | Anyone
RoleMap = Mapping[str, RoleRule]


class SignedIn(Protocol):
    """What authentication puts on the request as its user."""

    is_authenticated: bool
    current_roles: frozenset[str]
    """The roles in force at the moment of the request."""
    language: str


class RolePermission(BasePermission):
    """Reads `view.roles`: action (of a view set) or lower-case method (of a plain view) to the roles that may.

    A missing entry refuses everybody. `head` follows `get`. Answers 401, or 403 `role_not_allowed` (fact `roles`: who
    may); 405 for a method the view does not have, whoever asks.
    """

    def has_permission(self, request: Request, view: "APIView") -> bool:
        """Whether the caller may, by the roles in force; NotAllowed for a person who may not."""
        method = (request.method or "").lower()
        if method not in view.http_method_names or not hasattr(view, method):
            raise MethodNotAllowed(request.method or "")
        rule = role_rule(view, action_name(view, request))
        if rule is ANONYMOUS:
            return True
        roles = roles_of(request)
        allowed = bool(roles) if rule is ANY_ROLE else not roles.isdisjoint(rule or ())
        if not allowed and getattr(request.user, "is_authenticated", False):
            raise NotAllowed("role_not_allowed", roles=["any_role"] if rule is ANY_ROLE else sorted(rule or ()))
        return allowed


def action_name(view: "APIView", request: Request) -> str:
    """Return the name under which a view lists what is being done."""
    action = getattr(view, "action", None)
    method = (request.method or "").lower()
    return action if isinstance(action, str) else "get" if method == "head" else method


def role_rule(view: "APIView | type[APIView]", action: str) -> RoleRule | None:
    """Who may do an action of a view; None when nobody said."""
    roles: RoleMap = getattr(view, "roles", {})
    return roles.get(action)


def roles_of(request: Request) -> frozenset[str]:
    """Return the present roles of the caller; none for a stranger."""
    if not getattr(request.user, "is_authenticated", False):
        return frozenset()
    roles: frozenset[str] = getattr(request.user, "current_roles", frozenset())
    return roles
