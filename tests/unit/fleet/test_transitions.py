"""Every state x action of fleet's tables, and that the states found from rows are those of the tables."""

import pytest

from common.errors import Conflict, NotAllowed
from common.transitions import TransitionTable
from fleet.enums import Role
from fleet.transitions import (
    COUPLING,
    DOCUMENT,
    LEGAL_HOLD,
    MOUNTING,
    PERSON,
    SITE,
    TABLES,
    UNIT,
    UNIT_OF_OTHERS,
    roles_for,
)

EXPECTED = {
    UNIT: {"edit": {"in_service": "in_service"}, "retire": {"in_service": "retired"}},
    UNIT_OF_OTHERS: {"edit": {"in_service": "in_service"}, "retire": {"in_service": "retired"}},
    COUPLING: {"uncouple": {"coupled": "ended"}},
    MOUNTING: {"dismount": {"mounted": "ended"}},
    DOCUMENT: {"edit": {"standing": "standing"}, "replace": {"standing": "replaced"}},
    PERSON: {
        "edit": {"here": "here"},
        "set_password": {"here": "here"},
        "grant_role": {"here": "here"},
        "leave": {"here": "left"},
    },
    LEGAL_HOLD: {"lift": {"standing": "lifted"}},
    SITE: {"edit": {"open": "open"}, "close": {"open": "closed"}},
}
OFFICE, SHOP = {"administrator", "compliance"}, {"administrator", "foreman", "mechanic"}
YARD = {"administrator", "dispatch", "driver", "foreman", "trainer"}
MAY = {
    UNIT: {"edit": {*OFFICE, "foreman"}, "retire": OFFICE},
    UNIT_OF_OTHERS: {"edit": {*OFFICE, "foreman", "dispatch"}, "retire": OFFICE},
    COUPLING: {"uncouple": YARD},
    MOUNTING: {"dismount": SHOP},
    DOCUMENT: {"edit": {*OFFICE, "foreman", "dispatch"}, "replace": {*OFFICE, "foreman", "dispatch"}},
    PERSON: {
        "edit": {*OFFICE, "foreman"},
        "set_password": {"administrator"},
        "grant_role": {"administrator"},
        "leave": {"administrator"},
    },
    SITE: {"edit": {"administrator"}, "close": {"administrator"}},
    LEGAL_HOLD: {"lift": OFFICE},
}
EVERYTHING = {"retired_on": 1, "reason": 1, "ended_at": 1, "password": 1, "role": 1, "starts_on": 1, "left_on": 1}
GIVEN = {**EVERYTHING, "closed_on": 1}
CELLS = [(table, action, state) for table in TABLES for action in table.actions for state in table.states]


def test_expectations__cover_every_table_and_action() -> None:
    assert {table: set(moves) for table, moves in EXPECTED.items()} == {table: set(table.actions) for table in TABLES}


@pytest.mark.parametrize(("table", "action", "state"), CELLS, ids=lambda value: getattr(value, "name", value))
def test_action_in_state_by_every_role__leads_on_or_is_refused(table: TransitionTable, action: str, state: str) -> None:
    target = EXPECTED[table][action].get(state)
    for role in Role:
        shown = action in table.allowed_actions(state, {role})
        if role not in MAY[table][action]:
            with pytest.raises(NotAllowed):
                table.resolve(action, state, {role}, GIVEN)
        elif target is None:
            with pytest.raises(Conflict) as refused:
                table.resolve(action, state, {role}, GIVEN)
            assert refused.value.facts["allowed_actions"] == table.allowed_actions(state, {role})
        else:
            assert table.resolve(action, state, {role}, GIVEN).target == target
        assert shown == (role in MAY[table][action] and target is not None)


def test_roles__are_roles_that_there_are() -> None:
    named = {role for table in TABLES for row in table.transitions for role in row.roles}
    assert named <= set(Role)


def test_unknown_action__has_no_roles() -> None:
    with pytest.raises(KeyError):
        roles_for(UNIT, "scrap")
