"""The tables of orders and tasks: what nobody may do by hand, and every state, action and role."""

from itertools import product

import pytest

from common.errors import Conflict, NotAllowed
from common.transitions import SYSTEM, TransitionTable
from fleet.enums import Role
from workorders.enums import OrderState, TaskState
from workorders.transitions import ORDER_TABLE, TABLES, TASK_TABLE, roles_for

BY_ITSELF = {
    "repair order": {"take_more_work", "all_settled", "all_certified", "nothing_left", "wait_for_road_test"},
    "repair task": {"done_outside", "certified", "withdrawn", "cancel_with_order"},
}
FOREMAN_ONLY = {
    "repair order": {"assign", "close", "cancel", "set_expected_time"},
    "repair task": {"assign", "cancel"},
}
SHOP = {
    "repair order": {"start", "wait", "resume", "work_done"},
    "repair task": {"start", "pause", "finish", "not_reproduced"},
}
MOVES = {
    ("repair order", "open"): {"assign": "assigned", "cancel": "cancelled", "set_expected_time": "open"},
    ("repair order", "assigned"): {
        "assign": "assigned",
        "start": "in_progress",
        "cancel": "cancelled",
        "set_expected_time": "assigned",
    },
    ("repair order", "in_progress"): {
        "assign": "in_progress",
        "wait": "waiting",
        "work_done": "work_done",
        "cancel": "cancelled",
        "set_expected_time": "in_progress",
    },
    ("repair order", "waiting"): {
        "assign": "waiting",
        "resume": "in_progress",
        "cancel": "cancelled",
        "set_expected_time": "waiting",
    },
    ("repair order", "work_done"): {"close": "closed"},
    ("repair order", "closed"): {},
    ("repair order", "cancelled"): {},
    ("repair task", "open"): {"assign": "open", "start": "started", "cancel": "cancelled"},
    ("repair task", "started"): {
        "assign": "started",
        "pause": "paused",
        "finish": "done",
        "not_reproduced": "not_reproduced",
    },
    ("repair task", "not_reproduced"): {"assign": "not_reproduced", "start": "started", "cancel": "cancelled"},
    ("repair task", "paused"): {"assign": "paused", "start": "started", "cancel": "cancelled"},
    ("repair task", "done"): {},
    ("repair task", "cancelled"): {},
}
"""Where each person's action leads from each state, as the shop was asked for; what is not here is refused."""

GIVEN = {
    "assigned_to": 1,
    "waiting_for": "parts",
    "reason": "x",
    "expected_at": 1,
    "lead": 1,
    "cause": "x",
    "correction": "x",
    "conditions": "x",
    "road_test_at": 1,
    "undone": "x",
    "signature": 1,
}
STANDING = ("open", "started", "paused", "not_reproduced")
CASES = [
    (table, state, action, role)
    for table in TABLES
    for state, action, role in product(table.states, table.actions, Role)
]


def test_states__are_those_stored() -> None:
    assert set(ORDER_TABLE.states) == set(OrderState.values)
    assert set(TASK_TABLE.states) == set(TaskState.values)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_actions__are_the_services_own_the_foremans_or_the_shops(table: TransitionTable) -> None:
    name = table.name
    parts = [BY_ITSELF[name], FOREMAN_ONLY[name], SHOP[name]]
    assert sorted(table.actions) == sorted(set().union(*parts))
    assert {action: roles_for(table, action) for action in parts[0]} == dict.fromkeys(parts[0], frozenset())


@pytest.mark.parametrize(
    ("table", "state", "action", "role"), CASES, ids=lambda value: getattr(value, "name", None) or str(value)
)
def test_state_action_role__leads_where_it_was_asked_to_or_is_refused(
    table: TransitionTable, state: str, action: str, role: Role
) -> None:
    name = table.name
    may = {Role.FOREMAN} if action in FOREMAN_ONLY[name] else {Role.FOREMAN, Role.MECHANIC}
    resolve = table.resolve
    if action in BY_ITSELF[name] or role not in may:
        with pytest.raises(NotAllowed) as refused:
            resolve(action, state, {role}, GIVEN)
        assert refused.value.code == "role_not_allowed"
    elif action in MOVES[name, state]:
        assert resolve(action, state, {role}, GIVEN).target == MOVES[name, state][action]
    else:
        with pytest.raises(Conflict) as conflict:
            resolve(action, state, {role}, GIVEN)
        assert conflict.value.code == "action_not_allowed"


@pytest.mark.parametrize(
    ("table", "action", "targets"),
    [
        (
            ORDER_TABLE,
            "take_more_work",
            {"work_done": "open", **{s: s for s in ("open", "assigned", "in_progress", "waiting")}},
        ),
        (ORDER_TABLE, "all_settled", dict.fromkeys(("open", "assigned", "in_progress", "waiting"), "work_done")),
        (ORDER_TABLE, "all_certified", {"work_done": "closed"}),
        (ORDER_TABLE, "nothing_left", dict.fromkeys(("open", "assigned", "in_progress", "waiting"), "cancelled")),
        (ORDER_TABLE, "wait_for_road_test", {"in_progress": "waiting"}),
        (TASK_TABLE, "done_outside", dict.fromkeys(STANDING, "done")),
        (TASK_TABLE, "certified", dict.fromkeys(STANDING, "done")),
        (TASK_TABLE, "withdrawn", dict.fromkeys(STANDING, "cancelled")),
        (
            TASK_TABLE,
            "cancel_with_order",
            dict.fromkeys([state for state in STANDING if state != "started"], "cancelled"),
        ),
    ],
    ids=lambda value: value if isinstance(value, str) else None,
)
def test_the_services_own_move__leads_from_exactly_these_states(
    table: TransitionTable, action: str, targets: dict[str, str]
) -> None:
    led = {state: table.resolve(action, state, {SYSTEM}, GIVEN).target for state in targets}
    refused = [state for state in table.states if action not in table.allowed_actions(state, {SYSTEM})]
    assert led == targets
    assert set(refused) == set(table.states) - set(targets)
