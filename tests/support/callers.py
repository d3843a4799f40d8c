"""People without a database behind them, for views of the suite's own: who calls is said in a header."""

from dataclasses import dataclass, field

from rest_framework.authentication import BaseAuthentication
from rest_framework.request import Request


@dataclass
class Caller:
    """A signed-in person, as far as the API's habits look at one."""

    pk: str
    current_roles: frozenset[str] = field(default_factory=frozenset)
    language: str = "en"
    is_authenticated: bool = True


class HeaderAuthentication(BaseAuthentication):
    """`X-Caller: name` signs in, with the roles of `X-Roles` and the language of `X-Language`."""

    def authenticate(self, request: Request) -> tuple[Caller, None] | None:
        """Return the caller whom the headers describe."""
        name = request.headers.get("X-Caller")
        if not name:
            return None
        roles = frozenset(request.headers.get("X-Roles", "").split())
        return Caller(name, roles, request.headers.get("X-Language", "en")), None

    def authenticate_header(self, request: Request) -> str:
        """Return what an answer 401 asks for."""
        return "Bearer"


def signed_in(name: str, *roles: str, language: str = "en") -> dict[str, str]:
    """Return the headers of a person with these roles."""
    return {"X-Caller": name, "X-Roles": " ".join(roles), "X-Language": language}
