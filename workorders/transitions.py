"""The moves of repair orders and of their tasks as tables. What else must hold is in `rules`; nothing is saved here."""

from collections.abc import Collection

from common.transitions import SYSTEM, Transition, TransitionTable

FOREMAN = frozenset({"foreman"})
SHOP = frozenset({"foreman", "mechanic"})
SWEEP = frozenset({SYSTEM})

OPEN, ASSIGNED, IN_PROGRESS, WAITING, WORK_DONE = "open", "assigned", "in_progress", "waiting", "work_done"
CLOSED, CANCELLED = "closed", "cancelled"

STARTED, PAUSED, DONE, NOT_REPRODUCED = "started", "paused", "done", "not_reproduced"
STANDING = frozenset({OPEN, STARTED, PAUSED, NOT_REPRODUCED})
NOT_UNDER_WAY = STANDING - {STARTED}
"""What was begun is finished, or the unit signed fit to move, before anybody calls the work off."""


def _within(
    action: str, states: Collection[str], roles: frozenset[str], required: tuple[str, ...] = ()
) -> list[Transition]:
    """An action that leaves the state as it is."""
    return [Transition(action, frozenset({state}), state, roles, required) for state in states]


ORDER_TABLE = TransitionTable(
    "repair order",
    [
        Transition("assign", frozenset({OPEN, ASSIGNED}), ASSIGNED, FOREMAN, ("assigned_to",)),
        *_within("assign", (IN_PROGRESS, WAITING), FOREMAN, ("assigned_to",)),
        Transition("start", frozenset({ASSIGNED}), IN_PROGRESS, SHOP),
        Transition("wait", frozenset({IN_PROGRESS}), WAITING, SHOP, ("waiting_for",)),
        Transition("resume", frozenset({WAITING}), IN_PROGRESS, SHOP),
        Transition("work_done", frozenset({IN_PROGRESS}), WORK_DONE, SHOP),
        Transition("close", frozenset({WORK_DONE}), CLOSED, FOREMAN),
        Transition("cancel", frozenset({OPEN, ASSIGNED, IN_PROGRESS, WAITING}), CANCELLED, FOREMAN, ("reason",)),
        *_within("set_expected_time", (OPEN, ASSIGNED, IN_PROGRESS, WAITING), FOREMAN, ("expected_at",)),
        # By the service itself: what happens to tasks and certificates moves the order along.
        *_within("take_more_work", (OPEN, ASSIGNED, IN_PROGRESS, WAITING), SWEEP),
        Transition("take_more_work", frozenset({WORK_DONE}), OPEN, SWEEP),
        Transition("all_settled", frozenset({OPEN, ASSIGNED, IN_PROGRESS, WAITING}), WORK_DONE, SWEEP),
        Transition("all_certified", frozenset({WORK_DONE}), CLOSED, SWEEP),
        Transition("nothing_left", frozenset({OPEN, ASSIGNED, IN_PROGRESS, WAITING}), CANCELLED, SWEEP),
        Transition("wait_for_road_test", frozenset({IN_PROGRESS}), WAITING, SWEEP),
    ],
    states=(OPEN, ASSIGNED, IN_PROGRESS, WAITING, WORK_DONE, CLOSED, CANCELLED),
    initial=OPEN,
)

TASK_TABLE = TransitionTable(
    "repair task",
    [
        *_within("assign", (OPEN, STARTED, PAUSED, NOT_REPRODUCED), FOREMAN, ("lead",)),
        Transition("start", frozenset({OPEN, PAUSED, NOT_REPRODUCED}), STARTED, SHOP),
        # Signed by the foreman or the lead of the order: the unit is fit to move with this undone.
        Transition("pause", frozenset({STARTED}), PAUSED, SHOP, ("undone", "signature")),
        Transition("finish", frozenset({STARTED}), DONE, SHOP, ("cause", "correction")),
        Transition("not_reproduced", frozenset({STARTED}), NOT_REPRODUCED, SHOP, ("conditions", "road_test_at")),
        Transition("cancel", NOT_UNDER_WAY, CANCELLED, FOREMAN, ("reason",)),
        # By the service itself: an outside firm's work came in, a certificate was signed, a defect was an error,
        # the order was cancelled.
        Transition("done_outside", STANDING, DONE, SWEEP, ("correction",)),
        Transition("certified", STANDING, DONE, SWEEP, ("correction",)),
        Transition("withdrawn", STANDING, CANCELLED, SWEEP, ("reason",)),
        Transition("cancel_with_order", NOT_UNDER_WAY, CANCELLED, SWEEP, ("reason",)),
    ],
    states=(OPEN, STARTED, PAUSED, DONE, NOT_REPRODUCED, CANCELLED),
    initial=OPEN,
)

TABLES = (ORDER_TABLE, TASK_TABLE)


def roles_for(table: TransitionTable, action: str) -> frozenset[str]:
    """Every role that may do an action from some state, the service itself left out; KeyError for no action."""
    if action not in table.actions:
        raise KeyError(action)
    return frozenset(role for row in table.transitions if row.action == action for role in row.roles) - {SYSTEM}
