"""What the services raise: a code and facts, by kind of refusal. Knows no HTTP; `common.api.problems` translates."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

T = TypeVar("T")

RESERVED_FACTS = frozenset({"type", "title", "status", "detail", "instance", "code", "errors", "pointer", "parameter"})
"""Names that a problem document (RFC 9457) already has for something else; no fact may be called so."""


MOST_ERRORS = 100
"""So many are told one by one: the answer to a body stays in proportion to it."""


@dataclass(frozen=True)
class FieldProblem:
    """One refused value: JSON Pointer (RFC 6901) into the body, code of the rule, facts of the sentence.

    `parameter` names a query parameter instead, and the pointer then stays empty.
    """

    pointer: str
    code: str
    facts: Mapping[str, object] = field(default_factory=dict)
    parameter: str = ""

    def __post_init__(self) -> None:
        _refuse_reserved(self.facts)


class DomainError(Exception):
    """A refusal with a stable code. `facts` fill its sentence and are shown to the caller: put no secret in them.

    `pointer` is short for one field problem with the error's own code and facts. A fact named `retry_after` is in
    whole seconds and becomes the Retry-After header too.
    """

    code: str
    facts: Mapping[str, object]
    problems: tuple[FieldProblem, ...]

    def __init__(
        self, code: str, *, pointer: str | None = None, problems: Iterable[FieldProblem] = (), **facts: object
    ) -> None:
        super().__init__(code)
        _refuse_reserved(facts)
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


class NotSignedIn(DomainError):
    """Nobody is signed in, or not with what was sent (401)."""


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


class TooLarge(DomainError):
    """The body or file is larger than is taken (413)."""


class TooOften(DomainError):
    """It was tried too often; give `retry_after` (429)."""


class Unavailable(DomainError):
    """It cannot be answered at present and may be tried again (503)."""


def _refuse_reserved(facts: Mapping[str, object]) -> None:
    taken = sorted(RESERVED_FACTS.intersection(facts))
    if taken:
        msg = f"a problem document already has members named {', '.join(taken)}"
        raise ValueError(msg)


def pointer(path: Iterable[str | int]) -> str:
    """Return the pointer to a place named by keys and indexes; the whole document is the empty text."""
    return "".join(f"/{str(part).replace('~', '~0').replace('/', '~1')}" for part in path)


def or_not_found(found: T | None, code: str) -> T:
    """What was looked for; NotFound with the code where there is none."""
    if found is None:
        raise NotFound(code)
    return found


def unknown_parameters(unknown: Iterable[str], known: Iterable[str]) -> Unreadable:
    """The refusal of query parameters that a view does not know, each by its name."""
    names, others = sorted(unknown), sorted(known)
    problems = [FieldProblem("", "unknown_parameter", {"unknown": [name], "known": others}, name) for name in names]
    return Unreadable("unknown_parameter", problems=problems, unknown=names, known=others)
