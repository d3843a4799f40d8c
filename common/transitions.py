"""State machines as tables: which action leads from where to where, for whom, with what. Holds no table of an app."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from common.errors import Conflict, FieldProblem, Invalid, NotAllowed

SYSTEM = "system"
"""The role of a job acting by itself, for transitions that no person may make."""


@dataclass(frozen=True)
class Transition:
    """One row: `action` leads from any of `sources` to `target`, for any of `roles`, with `required` fields given."""

    action: str
    sources: frozenset[str]
    target: str
    roles: frozenset[str]
    required: tuple[str, ...] = ()


def staying(
    action: str, states: Collection[str], roles: frozenset[str], required: tuple[str, ...] = ()
) -> list[Transition]:
    """An action that leaves the state as it is: a row for each of `states`."""
    return [Transition(action, frozenset({state}), state, roles, required) for state in states]


class Stateful(Protocol):
    """A row whose state is stored."""

    state: str


class TransitionTable:
    """A state machine's whole table; refuses at construction (ValueError) what could never be right.

    `states`, when given, are all the states there may be; `initial`, when given, must lead to every other one.
    """

    def __init__(
        self, name: str, transitions: Iterable[Transition], *, states: Collection[str] = (), initial: str | None = None
    ) -> None:
        self.name = name
        self.transitions = tuple(transitions)
        self.initial = initial
        self.states: tuple[str, ...] = tuple(states) or _named_states(self.transitions, initial)
        self.actions: tuple[str, ...] = tuple(dict.fromkeys(row.action for row in self.transitions))
        self._check()

    def resolve(
        self, action: str, state: str, roles: Collection[str], given_fields: Collection[str] = ()
    ) -> Transition:
        """Return the row that `action` takes from `state` for a person with `roles`.

        `given_fields` are the names given; of a mapping only those whose value is neither None nor empty text count.
        Raises NotAllowed `role_not_allowed`, Conflict `action_not_allowed` (facts `action`, `state`,
        `allowed_actions`), Invalid `required_fields_missing` with a pointer each, KeyError for an unknown action.
        """
        rows = [row for row in self.transitions if row.action == action]
        if not rows:
            msg = f"{self.name} has no action {action!r}"
            raise KeyError(msg)
        if not any(row.roles.intersection(roles) for row in rows):
            raise NotAllowed("role_not_allowed", action=action, roles=_names(rows))
        row = next((row for row in rows if state in row.sources), None)
        if row is None:
            allowed = self.allowed_actions(state, roles)
            raise Conflict("action_not_allowed", action=action, state=state, allowed_actions=allowed)
        if not row.roles.intersection(roles):
            raise NotAllowed("role_not_allowed", action=action, roles=_names([row]))
        given = _given(given_fields)
        missing = [FieldProblem(f"/{name}", "required") for name in row.required if name not in given]
        if missing:
            raise Invalid("required_fields_missing", problems=missing)
        return row

    def move(self, row: Stateful, action: str, roles: Collection[str], given_fields: Collection[str] = ()) -> None:
        """Set the state that an action of a person with `roles` leads to, or refuse as `resolve` does."""
        row.state = self.resolve(action, row.state, roles, given_fields).target

    def follow(self, row: Stateful, action: str, given_fields: Collection[str] = ()) -> None:
        """Set the state of what follows by itself, which the table allows to nobody."""
        self.move(row, action, {SYSTEM}, given_fields)

    def allowed_actions(self, state: str, roles: Collection[str]) -> list[str]:
        """Return the actions open to `roles` in `state`, in the table's order; none in one that is not known here."""
        open_rows = (row for row in self.transitions if state in row.sources and row.roles.intersection(roles))
        return list(dict.fromkeys(row.action for row in open_rows))

    def roles_for(self, *actions: str) -> frozenset[str]:
        """Return every role that may do one of the actions from some state, the service left out; KeyError."""
        unknown = sorted(set(actions) - set(self.actions))
        if unknown:
            raise KeyError(", ".join(unknown))
        return frozenset(role for row in self.transitions if row.action in actions for role in row.roles) - {SYSTEM}

    def mermaid(self) -> str:
        """Return the state diagram for the documentation, in Mermaid's notation."""
        lines = ["stateDiagram-v2"]
        if self.initial is not None:
            lines.append(f"    [*] --> {self.initial}")
        for row in self.transitions:
            lines += [f"    {source} --> {row.target}: {row.action}" for source in self._in_order(row.sources)]
        return "\n".join(lines) + "\n"

    def markdown_table(self) -> str:
        """Return the table itself for the documentation, as a Markdown table."""
        lines = ["| Action | From | To | Roles | Required |", "|---|---|---|---|---|"]
        for row in self.transitions:
            sources = ", ".join(self._in_order(row.sources))
            cells = (row.action, sources, row.target, ", ".join(sorted(row.roles)), ", ".join(row.required) or "-")
            lines.append(f"| {' | '.join(cells)} |")
        return "\n".join(lines) + "\n"

    def _in_order(self, states: frozenset[str]) -> list[str]:
        return [state for state in self.states if state in states]

    def _check(self) -> None:
        faults = [*self._row_faults(), *self._state_faults()]
        if faults:
            msg = f"{self.name}: {'; '.join(faults)}"
            raise ValueError(msg)

    def _row_faults(self) -> Iterable[str]:
        if not self.transitions:
            yield "no transitions"
        seen: set[tuple[str, str]] = set()
        for row in self.transitions:
            if not row.sources or not row.roles:
                yield f"{row.action} has no source or no role"
            if len(set(row.required)) != len(row.required):
                yield f"{row.action} requires a field twice"
            for source in sorted(row.sources):
                if (row.action, source) in seen:
                    yield f"{row.action} from {source} is there twice"
                seen.add((row.action, source))

    def _state_faults(self) -> Iterable[str]:
        named = _named_states(self.transitions, self.initial)
        yield from (f"unknown state {state}" for state in named if state not in self.states)
        yield from (f"state {state} in no transition" for state in self.states if state not in named)
        if self.initial is not None:
            reached = self._reachable(self.initial)
            yield from (f"state {state} cannot be reached" for state in self.states if state not in reached)

    def _reachable(self, start: str) -> set[str]:
        reached, waiting = {start}, [start]
        while waiting:
            state = waiting.pop()
            targets = {row.target for row in self.transitions if state in row.sources} - reached
            reached |= targets
            waiting += targets
        return reached


def _named_states(transitions: Iterable[Transition], initial: str | None) -> tuple[str, ...]:
    names = [] if initial is None else [initial]
    for row in transitions:
        names += [*sorted(row.sources), row.target]
    return tuple(dict.fromkeys(names))


def _names(rows: Iterable[Transition]) -> list[str]:
    """The roles that may take one of these moves."""
    return sorted({str(role) for row in rows for role in row.roles})


def _given(fields: Collection[str]) -> frozenset[str]:
    if isinstance(fields, Mapping):
        return frozenset(name for name, value in fields.items() if value is not None and value != "")
    return frozenset(fields)
