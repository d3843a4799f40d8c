"""Each closed set stands once, and what a transition table knows as a state or role is written as a member of one."""

import ast
from collections import defaultdict
from collections.abc import Iterable, Iterator
from enum import Enum

import pytest

import fleet.enums
from common.transitions import SYSTEM
from defects import transitions as defect_tables
from fleet import transitions as fleet_tables
from tests.support.production_code import modules
from workorders import transitions as shop_tables

SAME_BY_CHANCE = {frozenset({"open", "closed"}): "a site and a load at risk both open and close"}
"""Sets of values that two enums may share, with the reason."""
TABLES = (*fleet_tables.TABLES, *defect_tables.TABLES, *shop_tables.TABLES)
WORDS = {str(word) for table in TABLES for row in table.transitions for word in (*table.states, *row.roles)}
EXAMPLES = {"fleet/api/imports/forms.py"}
"""What shows a reader how a filled sentence or row looks."""
NAMED_SO = {"state", "state__in", "role", "role__in", "roles", "initial", "sources", "target"}
"""Arguments that take a state or a role."""


def enums() -> Iterator[tuple[str, frozenset[str]]]:
    for path, module in modules().items():
        for node in ast.walk(module):
            bases = {ast.unparse(base).rsplit(".", 1)[-1] for base in getattr(node, "bases", ())}
            if isinstance(node, ast.ClassDef) and bases & {"StrEnum", "TextChoices", "Enum"}:
                values = (line.value for line in node.body if isinstance(line, ast.Assign))
                yield f"{path}:{node.name}", frozenset(ast.literal_eval(value) for value in values)


def spelled(module: ast.Module) -> Iterator[ast.Constant]:
    """Literals where a state or role is meant: compared, answered, gathered with others, or given by that name."""
    for node in ast.walk(module):
        yield from literals(*given_by_name(node), *taken(node))


def given_by_name(node: ast.AST) -> Iterable[ast.expr | None]:
    """What is set or passed under a name of `NAMED_SO`."""
    match node:
        case ast.keyword(arg=name, value=value) if name in NAMED_SO:
            return [value]
        case ast.Assign(targets=targets, value=value) if set().union(*map(names, targets)) & NAMED_SO:
            return [value]
        case ast.AnnAssign(target=target, value=value) if names(target) & NAMED_SO:
            return [value]
        case ast.Dict(keys=keys, values=values):
            return [value for key, value in zip(keys, values, strict=True) if getattr(key, "value", "") in NAMED_SO]
    return []


def taken(node: ast.AST) -> Iterable[ast.expr | None]:
    """What is compared, matched, answered, chosen, or one of a set."""
    match node:
        case ast.Compare(left=left, comparators=others):
            return [left, *others]
        case (
            ast.MatchValue(value=value)
            | ast.Return(value=value)
            | ast.Subscript(value=ast.Name("Literal") | ast.Attribute(attr="Literal"), slice=value)
        ):
            return [value]
        case ast.IfExp(body=body, orelse=other):
            return [body, other]
        case ast.Set() if {item.value for item in literals(node)} <= WORDS:
            return [node]
        case ast.Tuple() if {item.value for item in literals(node)} <= set(fleet.enums.Role):
            return [node]
    return []


def names(target: ast.expr) -> set[str]:
    """What an assignment sets: a name of its own, or an attribute."""
    return {getattr(node, "id", getattr(node, "attr", "")) for node in ast.walk(target)}


def literals(*nodes: ast.expr | None) -> Iterator[ast.Constant]:
    for node in nodes:
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node
        elif isinstance(node, ast.List | ast.Tuple | ast.Set):
            yield from literals(*node.elts)


def test_closed_set__stands_once() -> None:
    known: dict[frozenset[str], list[str]] = defaultdict(list)
    for name, values in enums():
        known[values].append(name)
    assert len(known) > 50
    assert [names for values, names in known.items() if len(names) > 1 and values not in SAME_BY_CHANCE] == []


def test_state_or_role__is_a_member_and_no_literal() -> None:
    found = [
        f"{path}:{node.lineno} {node.value}"
        for path, module in modules().items()
        if path not in EXAMPLES
        for node in spelled(module)
        if node.value in WORDS
    ]
    assert found == []


@pytest.mark.parametrize(
    "source",
    [
        "row.state == 'open'",
        "row.state in ('open', 'paused')",
        "rows.filter(state='open')",
        "rows.filter(**{'state': 'open'})",
        "rows.filter(Q(role__in=['driver']))",
        "def f():\n    return 'driver'",
        "x = 'open' if y else 'closed'",
        "ROLES = {'driver', 'foreman'}",
        "ROLES = ('driver', 'foreman')",
        "row.state = 'open'",
        "state = 'open'",
        "state: str = 'open'",
        "match row.state:\n    case 'open': ...",
        "def f(state: Literal['open', 'closed']): ...",
    ],
)
def test_literal_state_or_role__is_found(source: str) -> None:
    assert {node.value for node in spelled(ast.parse(source))} & WORDS


def test_tables__hold_members() -> None:
    rows = [row for table in TABLES for row in table.transitions]
    assert all(isinstance(word, Enum) for row in rows for word in (*row.sources, row.target))
    assert all(isinstance(role, Enum) or role == SYSTEM for row in rows for role in row.roles)
