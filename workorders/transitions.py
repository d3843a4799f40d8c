"""The moves of repair orders and of their tasks as tables. What else must hold is in `rules`; nothing is saved here."""

from common.transitions import SYSTEM, Transition, TransitionTable, staying
from fleet.enums import Role
from workorders.enums import ACTIVE_TASK_STATES, OrderState, TaskState

FOREMAN = frozenset({Role.FOREMAN})
SHOP = frozenset({Role.FOREMAN, Role.MECHANIC})
BY_ITSELF = frozenset({SYSTEM})

_UNDER_WAY = (OrderState.OPEN, OrderState.ASSIGNED, OrderState.IN_PROGRESS, OrderState.WAITING)
ACTIVE = frozenset(ACTIVE_TASK_STATES)
NOT_UNDER_WAY = ACTIVE - {TaskState.STARTED}
"""What was begun is finished, or the unit signed fit to move, before anybody calls the work off."""

ORDER_TABLE = TransitionTable(
    "repair order",
    [
        Transition(
            "assign", frozenset({OrderState.OPEN, OrderState.ASSIGNED}), OrderState.ASSIGNED, FOREMAN, ("assigned_to",)
        ),
        *staying("assign", (OrderState.IN_PROGRESS, OrderState.WAITING), FOREMAN, ("assigned_to",)),
        Transition("start", frozenset({OrderState.ASSIGNED}), OrderState.IN_PROGRESS, SHOP),
        Transition("wait", frozenset({OrderState.IN_PROGRESS}), OrderState.WAITING, SHOP, ("waiting_for",)),
        Transition("resume", frozenset({OrderState.WAITING}), OrderState.IN_PROGRESS, SHOP),
        Transition("work_done", frozenset({OrderState.IN_PROGRESS}), OrderState.WORK_DONE, SHOP),
        Transition("close", frozenset({OrderState.WORK_DONE}), OrderState.CLOSED, FOREMAN),
        Transition("cancel", frozenset(_UNDER_WAY), OrderState.CANCELLED, FOREMAN, ("reason",)),
        *staying("set_expected_time", _UNDER_WAY, FOREMAN, ("expected_at",)),
        # By the service itself: what happens to tasks and certificates moves the order along.
        *staying("take_more_work", _UNDER_WAY, BY_ITSELF),
        Transition("take_more_work", frozenset({OrderState.WORK_DONE}), OrderState.OPEN, BY_ITSELF),
        Transition("all_settled", frozenset(_UNDER_WAY), OrderState.WORK_DONE, BY_ITSELF),
        Transition("all_certified", frozenset({OrderState.WORK_DONE}), OrderState.CLOSED, BY_ITSELF),
        Transition("nothing_left", frozenset(_UNDER_WAY), OrderState.CANCELLED, BY_ITSELF),
        Transition("wait_for_road_test", frozenset({OrderState.IN_PROGRESS}), OrderState.WAITING, BY_ITSELF),
    ],
    states=OrderState,
    initial=OrderState.OPEN,
)

TASK_TABLE = TransitionTable(
    "repair task",
    [
        *staying("assign", ACTIVE_TASK_STATES, FOREMAN, ("lead",)),
        Transition(
            "start", frozenset({TaskState.OPEN, TaskState.PAUSED, TaskState.NOT_REPRODUCED}), TaskState.STARTED, SHOP
        ),
        # Signed by the foreman or the lead of the order: the unit is fit to move with this undone.
        Transition("pause", frozenset({TaskState.STARTED}), TaskState.PAUSED, SHOP, ("undone", "signature")),
        Transition("finish", frozenset({TaskState.STARTED}), TaskState.DONE, SHOP, ("cause", "correction")),
        Transition(
            "not_reproduced",
            frozenset({TaskState.STARTED}),
            TaskState.NOT_REPRODUCED,
            SHOP,
            ("conditions", "road_test_at"),
        ),
        Transition("cancel", NOT_UNDER_WAY, TaskState.CANCELLED, FOREMAN, ("reason",)),
        # By the service itself: an outside firm's work came in, a certificate was signed, a defect was an error,
        # the order was cancelled.
        Transition("done_outside", ACTIVE, TaskState.DONE, BY_ITSELF, ("correction",)),
        Transition("certified", ACTIVE, TaskState.DONE, BY_ITSELF, ("correction",)),
        Transition("withdrawn", ACTIVE, TaskState.CANCELLED, BY_ITSELF, ("reason",)),
        Transition("cancel_with_order", NOT_UNDER_WAY, TaskState.CANCELLED, BY_ITSELF, ("reason",)),
    ],
    states=TaskState,
    initial=TaskState.OPEN,
)

TABLES = (ORDER_TABLE, TASK_TABLE)
