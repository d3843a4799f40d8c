"""Every code that the code of this service raises or shows has a sentence."""

import ast
from collections.abc import Iterator

from common import errors
from common.composition import contributed
from common.messages import Sentences, registered_codes
from tests.support.production_code import modules

RAISING = {kind.__name__ for kind in errors.DomainError.__subclasses__()} | {"DomainError"}
SHOWING = {"FieldProblem": 1, "Message": 0, "or_not_found": 1}
"""Name of a call to the place of the code among its arguments."""


def literal_codes(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield line and code of every code written out in a call above."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        place = 0 if name in RAISING else SHOWING.get(name)
        if place is None or len(node.args) <= place:
            continue
        argument = node.args[place]
        if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
            yield node.lineno, argument.value


def test_codes_written_out__all_have_a_sentence() -> None:
    known = set(registered_codes())
    found = [(path, line, code) for path, tree in modules().items() for line, code in literal_codes(tree)]
    assert len(found) > 20
    missing = [f"{path}:{line}: {code}" for path, line, code in found if code not in known]
    assert missing == []


def test_constraints__are_refused_with_codes_that_have_a_sentence() -> None:
    refused_with = {code for app in contributed(Sentences) for code in app.constraints.values()}
    assert len(refused_with) > 10
    assert refused_with - set(registered_codes()) == set()


def test_search__sees_each_form() -> None:
    tree = ast.parse("Conflict('a')\nerrors.Invalid('b', x=1)\nFieldProblem('/x', 'c')\nMessage('d')\nother('e')")
    assert list(literal_codes(tree)) == [(1, "a"), (2, "b"), (3, "c"), (4, "d")]
