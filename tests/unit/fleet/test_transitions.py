"""Every state x action of fleet's tables, and that the states found from rows are those of the tables."""

import pytest

from common.errors import Conflict, NotAllowed
from common.transitions import TransitionTable
from fleet.enums import Role
from fleet.transitions import COUPLING, DOCUMENT, MOUNTING, PERSON, SITE, TABLES, UNIT, roles_for

EXPECTED = {
    UNIT: {"edit": {"in_service": "in_service"}, "retire": {"in_service": "retired"}},
    COUPLING: {"uncouple": {"coupled": "ended"}},
    MOUNTING: {"dismount": {"mounted": "ended"}},
    DOCUMENT: {"edit": {"standing": "standing"}, "replace": {"standing": "replaced"}},
    PERSON: {
        "edit": {"here": "here"},
        "set_password": {"here": "here"},
        "grant_role": {"here": "here"},
        "leave": {"here": "left"},
    },
    SITE: {"edit": {"open": "open"}, "close": {"open": "closed"}},
}
EVERYTHING = {"retired_on": 1, "reason": 1, "ended_at": 1, "password": 1, "role": 1, "starts_on": 1, "left_on": 1}
GIVEN = {**EVERYTHING, "closed_on": 1}
CELLS = [(table, action, state) for table in TABLES for action in table.actions for state in table.states]


def test_expectations__cover_every_table_and_action() -> None:
    assert {table: set(moves) for table, moves in EXPECTED.items()} == {table: set(table.actions) for table in TABLES}


@pytest.mark.parametrize(("table", "action", "state"), CELLS, ids=lambda value: getattr(value, "name", value))
def test_action_in_state__leads_on_or_is_refused(table: TransitionTable, action: str, state: str) -> None:
    roles = roles_for(table, action)
    target = EXPECTED[table][action].get(state)
    if target is not None:
        assert table.resolve(action, state, roles, GIVEN).target == target
        return
    with pytest.raises(Conflict) as refused:
        table.resolve(action, state, roles, GIVEN)
    assert refused.value.facts["allowed_actions"] == table.allowed_actions(state, roles)
    assert action not in table.allowed_actions(state, roles)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_role_of_no_row__may_do_nothing(table: TransitionTable) -> None:
    for action in table.actions:
        for role in set(Role) - roles_for(table, action):
            with pytest.raises(NotAllowed):
                table.resolve(action, table.initial or "", [role], GIVEN)


def test_roles__are_roles_that_there_are() -> None:
    named = {role for table in TABLES for row in table.transitions for role in row.roles}
    assert named <= set(Role)


def test_unknown_action__has_no_roles() -> None:
    with pytest.raises(KeyError):
        roles_for(UNIT, "scrap")
