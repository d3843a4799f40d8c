"""Defects, holds, refusals, limited moves: every state, action and role, and what no path through the tables may do."""

from itertools import product

import pytest

from common.errors import Conflict, Invalid, NotAllowed
from common.transitions import SYSTEM, TransitionTable
from defects.enums import OPEN_DEFECT_STATES, DefectState, RefusalState
from defects.transitions import DEFECTS, HOLDS, LIMITED_MOVES, OPEN, REFUSALS, roles_for
from fleet.enums import Role

TABLES = (DEFECTS, HOLDS, REFUSALS, LIMITED_MOVES)
FOREMAN_ONLY = {"grade", "regrade", "enter_in_error", "lift"}
SHOP = {"certify_unnecessary", "supersede", "reopen", "second_look"}
ALSO_DRIVERS = {"certify_repaired"}
FOREMAN_AND_DRIVER = {"end"}
BY_ITSELF = {
    "start_repair",
    "put_back",
    "put_back_deferred",
    "end_deferral",
    "close_on_certificate",
    "close_by_review",
}
MOVES = {
    ("defect", "reported"): {
        "certify_repaired": "certified",
        "certify_unnecessary": "deferred",
        "grade": "reported",
        "regrade": "reported",
        "enter_in_error": "entered_in_error",
        "start_repair": "in_repair",
    },
    ("defect", "in_repair"): {
        "certify_repaired": "certified",
        "certify_unnecessary": "deferred",
        "grade": "in_repair",
        "regrade": "in_repair",
        "enter_in_error": "entered_in_error",
        "put_back": "reported",
        "put_back_deferred": "deferred",
        "end_deferral": "in_repair",
    },
    ("defect", "deferred"): {
        "certify_repaired": "certified",
        "supersede": "deferred",
        "regrade": "deferred",
        "enter_in_error": "entered_in_error",
        "start_repair": "in_repair",
        "end_deferral": "reported",
    },
    ("defect", "certified"): {
        "supersede": "certified",
        "reopen": "reported",
        "close_on_certificate": "closed",
        "close_by_review": "closed",
    },
    ("defect", "closed"): {"reopen": "closed"},
    ("defect", "entered_in_error"): {},
    ("hold", "standing"): {"lift": "lifted"},
    ("hold", "lifted"): {},
    ("refusal", "waiting"): {"second_look": "looked_at"},
    ("refusal", "looked_at"): {},
    ("limited move", "allowed"): {"end": "ended"},
    ("limited move", "ended"): {},
}
"""Where each action leads from each state, as design and rule ask for it; what is not here is refused."""

FIELDS = ("statement", "signature", "severity", "bars", "standing", "reason", "finding", "ended_at")
GIVEN = dict.fromkeys(FIELDS, "given")
CASES = [
    (table, state, action, role)
    for table in TABLES
    for state, action, role in product(table.states, table.actions, [*Role, SYSTEM])
]


def may(role: str, action: str) -> bool:
    if role == SYSTEM:
        return action in BY_ITSELF
    if role == Role.FOREMAN:
        return action not in BY_ITSELF
    if role == Role.MECHANIC:
        return action in SHOP | ALSO_DRIVERS
    return role == Role.DRIVER and action in ALSO_DRIVERS | FOREMAN_AND_DRIVER


def test_tables__know_every_action_that_is_told_here_and_no_other() -> None:
    assert {action for table in TABLES for action in table.actions} == (
        FOREMAN_ONLY | SHOP | ALSO_DRIVERS | FOREMAN_AND_DRIVER | BY_ITSELF
    )


def test_states__are_those_stored() -> None:
    assert set(DEFECTS.states) == set(DefectState.values)
    assert OPEN == OPEN_DEFECT_STATES
    assert set(REFUSALS.states) == set(RefusalState.values)


@pytest.mark.parametrize(("table", "state", "action", "role"), CASES)
def test_every_state_action_and_role__leads_where_it_should_or_is_refused(
    table: TransitionTable, state: str, action: str, role: str
) -> None:
    target = MOVES[table.name, state].get(action)
    if not may(role, action):
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
    ("table", "action", "state", "missing"),
    [
        (DEFECTS, "certify_repaired", "reported", ["/statement", "/signature"]),
        (DEFECTS, "certify_unnecessary", "reported", ["/statement", "/signature"]),
        (DEFECTS, "supersede", "certified", ["/statement", "/signature"]),
        (DEFECTS, "grade", "reported", ["/severity", "/bars", "/standing"]),
        (DEFECTS, "regrade", "reported", ["/severity", "/bars", "/reason"]),
        (DEFECTS, "enter_in_error", "reported", ["/reason", "/signature"]),
        (DEFECTS, "reopen", "certified", ["/reason"]),
        (HOLDS, "lift", "standing", ["/signature"]),
        (REFUSALS, "second_look", "waiting", ["/finding"]),
        (LIMITED_MOVES, "end", "allowed", ["/ended_at"]),
    ],
)
def test_fields_missing__invalid_with_a_pointer_each(
    table: TransitionTable, action: str, state: str, missing: list[str]
) -> None:
    with pytest.raises(Invalid) as refused:
        table.resolve(action, state, {Role.FOREMAN})
    assert [problem.pointer for problem in refused.value.problems] == missing


def test_roles_for__leaves_the_service_out_and_refuses_a_stranger() -> None:
    assert roles_for(DEFECTS, "reopen", "start_repair") == {"foreman", "mechanic"}
    with pytest.raises(KeyError, match="override"):
        roles_for(DEFECTS, "override")


Path = tuple[tuple[str, str], ...]
REPAIRS = {"certify_repaired"}
KEEPS_REPAIR = {"supersede", "close_on_certificate", "close_by_review"}
"""After which a defect that was certified repaired still is."""


def paths(length: int) -> list[Path]:
    """Every way through the table of defects, as (action, state it led to), of up to so many steps."""
    found: list[Path] = []
    waiting: list[Path] = [()]
    while waiting:
        path = waiting.pop()
        found.append(path)
        if len(path) == length:
            continue
        state = path[-1][1] if path else "reported"
        steps = [(row.action, row.target) for row in DEFECTS.transitions if state in row.sources]
        waiting += [(*path, step) for step in steps]
    return found


ALL = paths(6)


def is_repaired(path: Path) -> bool:
    repaired = False
    for action, state in path:
        if action in REPAIRS:
            repaired = True
        elif not (action in KEEPS_REPAIR and state in {"certified", "closed"}):
            repaired = repaired and state == "closed"
    return repaired


def test_every_path__there_are_many() -> None:
    assert len(ALL) > 5000
    assert {path[-1][1] for path in ALL if path} == set(DEFECTS.states)


def test_every_path__none_closes_an_unrepaired_defect() -> None:
    closing = [path for path in ALL if path and path[-1][1] == "closed"]
    assert closing
    assert [path for path in closing if not is_repaired(path)] == []


def test_every_path__certified_only_by_a_certificate_of_repair_since_the_last_reopening() -> None:
    for path in (path for path in ALL if path and path[-1][1] == "certified"):
        actions = [action for action, _ in path]
        last_reopened = max((index for index, action in enumerate(actions) if action == "reopen"), default=-1)
        assert "certify_repaired" in actions[last_reopened + 1 :], path


def test_every_state__a_hold_on_the_defect_can_still_come_to_be_lifted() -> None:
    """The hold lifts once the defect is certified, closed or entered in error: each state must lead to one of them."""
    ends = {"certified", "closed", "entered_in_error"}
    for state in DEFECTS.states:
        reached = {state}
        for _ in DEFECTS.states:
            reached |= {row.target for row in DEFECTS.transitions if reached & row.sources}
        assert reached & ends, state
        by_hand = {row.target for row in DEFECTS.transitions if state in row.sources and SYSTEM not in row.roles}
        assert state in ends or by_hand & ends, state


def test_deferral__never_ends_a_defect() -> None:
    targets = {row.target for row in DEFECTS.transitions if "deferred" in row.sources and SYSTEM in row.roles}
    assert targets == {"in_repair", "reported"}
