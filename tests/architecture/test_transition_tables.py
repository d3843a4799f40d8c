"""Every transition table: the apps' READMEs show it, and each state, action and role leads where the README says.

The tables in the READMEs are the reviewed statement of what may be done; a change to one is read there.
"""

import re
from itertools import product

import pytest
from django.apps import apps

from common.errors import Conflict, Invalid, NotAllowed
from common.transitions import SYSTEM, Transition, TransitionTable
from config.env import CHECKOUT
from defects import transitions as defects
from fleet import transitions as fleet
from fleet.enums import Role
from workorders import transitions as workorders

TABLES = {
    **dict.fromkeys(fleet.TABLES, "fleet"),
    **dict.fromkeys(defects.TABLES, "defects"),
    **dict.fromkeys(workorders.TABLES, "workorders"),
}
STORED = {
    fleet.DELIVERY: "fleet.Delivery",
    defects.DEFECTS: "defects.Defect",
    defects.LOADS_AT_RISK: "defects.LoadAtRisk",
    workorders.ORDER_TABLE: "workorders.RepairOrder",
    workorders.TASK_TABLE: "workorders.RepairTask",
}
"""Tables whose states are stored in the column `state` of a model."""

every_table = pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)


def section(table: TransitionTable) -> str:
    """What the app's README says under the table's own heading."""
    text = (CHECKOUT / TABLES[table] / "README.md").read_text(encoding="utf-8")
    heading = re.escape(table.name.replace("_", " ").capitalize())
    found = re.search(rf"^##+ {heading}\n(.+?)(?=^#|\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, f"no heading {heading}"
    return found[1]


def reviewed(table: TransitionTable) -> list[Transition]:
    """The rows of the table as the README shows them."""
    found = re.search(r"\| Action \| From \| To \| Roles \| Required \|\n\|[-|]+\n((?:\|.+\n)+)", section(table))
    assert found
    cells = [[cell.strip() for cell in line.strip("|\n").split("|")] for line in found[1].splitlines()]
    return [
        Transition(
            action,
            frozenset(sources.split(", ")),
            target,
            frozenset(roles.split(", ")),
            () if required == "-" else tuple(required.split(", ")),
        )
        for action, sources, target, roles, required in cells
    ]


@every_table
def test_readme__shows_the_diagram_and_the_table(table: TransitionTable) -> None:
    assert f"```mermaid\n{table.mermaid()}```\n" in section(table)
    assert table.markdown_table() in section(table)


@every_table
def test_every_state_action_and_role__leads_where_the_readme_says_or_is_refused(table: TransitionTable) -> None:
    rows = reviewed(table)
    leads = {(row.action, state, role): row for row in rows for state in row.sources for role in row.roles}
    may = {(row.action, role) for row in rows for role in row.roles}
    assert {action for action, _ in may} == set(table.actions)
    wrong: list[tuple[object, ...]] = []
    for state, action, role in product(table.states, table.actions, [*map(str, Role), SYSTEM]):
        row = leads.get((action, state, role))
        wanted: object = row.target if row else "action_not_allowed" if (action, role) in may else "role_not_allowed"
        given = row.required if row else ()
        shown = action in table.allowed_actions(state, {role})
        found = outcome(table, action, state, role, given)
        if (found, shown) != (wanted, row is not None):
            wrong.append((state, action, role, found, shown))
        for lacking in given:
            fewer = tuple(name for name in given if name != lacking)
            if outcome(table, action, state, role, fewer) != [f"/{lacking}"]:
                wrong.append((state, action, role, "without", lacking))
    assert wrong == []


def outcome(table: TransitionTable, action: str, state: str, role: str, given: tuple[str, ...]) -> object:
    """The state that it leads to, the code of its refusal, or the fields that are missing."""
    try:
        return table.resolve(action, state, {role}, given).target
    except Invalid as refused:
        return [problem.pointer for problem in refused.problems]
    except Conflict as refused:
        named = refused.facts["allowed_actions"] == table.allowed_actions(state, {role})
        return refused.code if named else "other actions are named"
    except NotAllowed as refused:
        return refused.code


@every_table
def test_roles__are_roles_of_people_or_the_service_itself(table: TransitionTable) -> None:
    assert {role for row in table.transitions for role in row.roles} <= {*Role, SYSTEM}


@pytest.mark.parametrize(("table", "model"), STORED.items(), ids=lambda value: getattr(value, "name", value))
def test_states__are_those_that_the_column_may_hold(table: TransitionTable, model: str) -> None:
    assert set(table.states) == {value for value, _ in apps.get_model(model)._meta.get_field("state").flatchoices}
