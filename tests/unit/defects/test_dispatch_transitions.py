"""Loads, loads at risk, officers' inspections: every state, action and role, and where each leads."""

from itertools import product

import pytest

from common.errors import Conflict, Invalid, NotAllowed
from common.transitions import TransitionTable
from defects.enums import RiskState
from defects.transitions import DISPATCH_TABLES, LOADS, LOADS_AT_RISK, RECORD_ROADSIDE, ROADSIDE_INSPECTIONS, roles_for
from fleet.enums import Role

DOCK = {"dispatch", "foreman", "driver"}
WITH_THE_LOAD = DOCK | {"mechanic", "compliance", "trainer"}
DECIDE = {"dispatch", "foreman", "compliance"}
MAY = {
    "edit": {"dispatch"},
    "check_before_loading": DOCK,
    "put_into_trailer": DOCK,
    "transload": DOCK,
    "compare_seal": DOCK,
    "decide_seal": {"dispatch"},
    "deliver": DOCK,
    "cancel": {"dispatch"},
    "add_reading": WITH_THE_LOAD,
    "add_call": WITH_THE_LOAD,
    "add_decision": DECIDE,
    "dispose": DECIDE,
    "answer": {"compliance"},
}
MOVES = {
    ("load", "planned"): {
        "edit": "planned",
        "check_before_loading": "planned",
        "put_into_trailer": "loaded",
        "cancel": "cancelled",
    },
    ("load", "loaded"): {
        "edit": "loaded",
        "transload": "loaded",
        "compare_seal": "loaded",
        "decide_seal": "loaded",
        "deliver": "delivered",
    },
    ("load", "delivered"): {},
    ("load", "cancelled"): {},
    ("load at risk", "open"): {
        "add_reading": "open",
        "add_call": "open",
        "add_decision": "open",
        "dispose": "closed",
    },
    ("load at risk", "closed"): {},
    ("roadside inspection", "answer_owed"): {"answer": "answered"},
    ("roadside inspection", "answered"): {},
}
NEEDS = {
    "check_before_loading": ["trailer"],
    "put_into_trailer": ["trailer"],
    "transload": ["trailer"],
    "compare_seal": ["seal"],
    "decide_seal": ["decision"],
    "cancel": ["reason"],
    "add_call": ["text"],
    "add_decision": ["text"],
    "dispose": ["disposition", "signature"],
    "answer": ["official_title", "signature"],
}
GIVEN = {name: "given" for names in NEEDS.values() for name in names}
CASES = [
    (table, state, action, role)
    for table in DISPATCH_TABLES
    for state, action, role in product(table.states, table.actions, Role)
]


def test_tables__know_every_action_that_is_told_here_and_no_other() -> None:
    assert {action for table in DISPATCH_TABLES for action in table.actions} == set(MAY)
    assert {(table.name, state) for table in DISPATCH_TABLES for state in table.states} == set(MOVES)


def test_states_of_a_load_at_risk__are_those_stored() -> None:
    assert set(LOADS_AT_RISK.states) == set(RiskState.values)


@pytest.mark.parametrize(("table", "state", "action", "role"), CASES)
def test_every_state_action_and_role__leads_where_it_should_or_is_refused(
    table: TransitionTable, state: str, action: str, role: Role
) -> None:
    target = MOVES[table.name, state].get(action)
    if role not in MAY[action]:
        with pytest.raises(NotAllowed) as refused:
            table.resolve(action, state, {role}, GIVEN)
        assert refused.value.code == "role_not_allowed"
        assert action not in table.allowed_actions(state, {role})
    elif target is None:
        with pytest.raises(Conflict) as conflict:
            table.resolve(action, state, {role}, GIVEN)
        assert conflict.value.facts["allowed_actions"] == table.allowed_actions(state, {role})
    else:
        assert table.resolve(action, state, {role}, GIVEN).target == target
        assert action in table.allowed_actions(state, {role})


@pytest.mark.parametrize(
    ("table", "state", "action"),
    [
        (table, state, action)
        for table in DISPATCH_TABLES
        for state in table.states
        for action in MOVES[table.name, state]
    ],
)
def test_fields_missing__invalid_with_a_pointer_each(table: TransitionTable, state: str, action: str) -> None:
    role = min(MAY[action])
    needed = NEEDS.get(action, [])
    if not needed:
        assert table.resolve(action, state, {role}).action == action
        return
    with pytest.raises(Invalid) as refused:
        table.resolve(action, state, {role})
    assert [problem.pointer for problem in refused.value.problems] == [f"/{name}" for name in needed]


def test_a_load_at_risk__moves_no_unit_and_holds_none() -> None:
    assert set(LOADS_AT_RISK.actions) == {"add_reading", "add_call", "add_decision", "dispose"}
    assert roles_for(ROADSIDE_INSPECTIONS, "answer") == {"compliance"}
    assert {"driver", "dispatch", "foreman", "compliance"} == RECORD_ROADSIDE
    assert LOADS.initial == "planned"
