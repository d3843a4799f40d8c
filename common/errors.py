"""What the services raise: a code and facts, by kind of refusal. Knows no HTTP; `common.api.problems` translates."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class FieldProblem:
    """One refused field: JSON Pointer (RFC 6901) into the body, code of the rule, facts of the sentence."""

    pointer: str
    code: str
    facts: Mapping[str, object] = field(default_factory=dict)


class DomainError(Exception):
    """A refusal with a stable code. `facts` fill its sentence and are shown to the caller: put no secret in them.

    `pointer` is short for one field problem with the error's own code and facts.
    """

    code: str
    facts: Mapping[str, object]
    problems: tuple[FieldProblem, ...]

    def __init__(
        self, code: str, *, pointer: str | None = None, problems: Iterable[FieldProblem] = (), **facts: object
    ) -> None:
        super().__init__(code)
        self.code = code
        self.facts = facts
        own = () if pointer is None else (FieldProblem(pointer, code, facts),)
        self.problems = (*own, *problems)

    def __str__(self) -> str:
        shown = ", ".join(f"{name}={value!r}" for name, value in self.facts.items())
        fields = ", ".join(f"{problem.pointer}: {problem.code}" for problem in self.problems)
        return " ".join(part for part in (self.code, f"({shown})" if shown else "", fields) if part)


class Unreadable(DomainError):
    """The request cannot be read at all: its syntax, a header or the query string (400)."""


class Invalid(DomainError):
    """The request was read, and a value in it is refused (422)."""


class NotFound(DomainError):
    """There is no such thing, or none that this person may see; the two look alike on purpose (404)."""


class Conflict(DomainError):
    """The present state does not allow it, or somebody else's row is in the way (409)."""


class NotAllowed(DomainError):
    """The person may never do this here, whatever the state (403)."""


class PreconditionFailed(DomainError):
    """The caller acted on an older version than the present one (412)."""


class PreconditionRequired(DomainError):
    """The caller must say which version it acts on (428)."""


class Unavailable(DomainError):
    """It cannot be answered at present and may be tried again (503)."""
