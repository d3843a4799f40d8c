"""What may be done with what the carrier owns and with its files: from which state, and by whom."""

from common.transitions import Transition, TransitionTable

_OFFICE = frozenset({"administrator", "compliance"})
_YARD = frozenset({"administrator", "dispatch", "driver", "foreman", "trainer"})
_SHOP = frozenset({"administrator", "foreman", "mechanic"})
_ADMINISTRATOR = frozenset({"administrator"})

UNIT = TransitionTable(
    "unit",
    (
        Transition("edit", frozenset({"in_service"}), "in_service", _OFFICE | {"foreman"}),
        Transition("retire", frozenset({"in_service"}), "retired", _OFFICE, ("retired_on", "reason")),
    ),
    initial="in_service",
)
UNIT_OF_OTHERS = TransitionTable(
    "unit of others",
    (
        # Dispatch takes over a unit of others with its plate, its owner and its papers.
        Transition("edit", frozenset({"in_service"}), "in_service", _OFFICE | {"foreman", "dispatch"}),
        Transition("retire", frozenset({"in_service"}), "retired", _OFFICE, ("retired_on", "reason")),
    ),
    initial="in_service",
)
COUPLING = TransitionTable(
    "coupling",
    (Transition("uncouple", frozenset({"coupled"}), "ended", _YARD, ("ended_at",)),),
    initial="coupled",
)
MOUNTING = TransitionTable(
    "mounting",
    (Transition("dismount", frozenset({"mounted"}), "ended", _SHOP, ("ended_at",)),),
    initial="mounted",
)
DOCUMENT = TransitionTable(
    "document",
    (
        Transition("edit", frozenset({"standing"}), "standing", _OFFICE | {"foreman", "dispatch"}),
        Transition("replace", frozenset({"standing"}), "replaced", _OFFICE | {"foreman", "dispatch"}),
    ),
    initial="standing",
)
PERSON = TransitionTable(
    "person",
    (
        Transition("edit", frozenset({"here"}), "here", _OFFICE | {"foreman"}),
        Transition("set_password", frozenset({"here"}), "here", _ADMINISTRATOR, ("password",)),
        Transition("grant_role", frozenset({"here"}), "here", _ADMINISTRATOR, ("role", "starts_on")),
        Transition("leave", frozenset({"here"}), "left", _ADMINISTRATOR, ("left_on",)),
    ),
    initial="here",
)
SITE = TransitionTable(
    "site",
    (
        Transition("edit", frozenset({"open"}), "open", _ADMINISTRATOR),
        Transition("close", frozenset({"open"}), "closed", _ADMINISTRATOR, ("closed_on",)),
    ),
    initial="open",
)
LEGAL_HOLD = TransitionTable(
    "legal_hold",
    (Transition("lift", frozenset({"standing"}), "lifted", _OFFICE, ("reason",)),),
    initial="standing",
)
TABLES = (UNIT, UNIT_OF_OTHERS, COUPLING, MOUNTING, DOCUMENT, PERSON, SITE, LEGAL_HOLD)


def roles_for(table: TransitionTable, action: str) -> frozenset[str]:
    """Return every role that a table lets do an action from some state; KeyError for an action it has not."""
    if action not in table.actions:
        raise KeyError(action)
    return frozenset().union(*(row.roles for row in table.transitions if row.action == action))
