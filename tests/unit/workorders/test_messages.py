"""What the shop writes into histories has a sentence whose facts the entry carries."""

import ast
from pathlib import Path

from common.messages import facts_named, wording

SERVICES = Path(__file__).resolve().parents[3] / "workorders" / "services"


def noted() -> list[tuple[str, str, frozenset[str], bool]]:
    """File, kind, names of the facts, and whether more are given by `**`, of each entry that the services note."""
    found = []
    for path in sorted(SERVICES.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "note":
                names = {word.arg for word in node.keywords if word.arg}
                kind = node.args[0]
                kinds = [kind.body, kind.orelse] if isinstance(kind, ast.IfExp) else [kind]
                more = any(word.arg is None for word in node.keywords)
                found += [
                    (path.name, one.value, frozenset(names | {"order"}), more)
                    for one in kinds
                    if isinstance(one, ast.Constant) and isinstance(one.value, str)
                ]
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "record":
                body = next(word.value for word in node.keywords if word.arg == "body")
                if isinstance(node.args[1], ast.Constant) and isinstance(body, ast.Dict):
                    names = {str(key.value) for key in body.keys if isinstance(key, ast.Constant)}
                    found.append((path.name, str(node.args[1].value), frozenset(names), False))
    return found


def test_entries__each_has_a_sentence_and_its_facts() -> None:
    entries = noted()
    assert len(entries) > 12
    lacking = [
        (file, kind, sorted(facts_named(str(wording(f"history_{kind}").template)) - names))
        for file, kind, names, more in entries
        if not more and facts_named(str(wording(f"history_{kind}").template)) - names
    ]
    assert lacking == []
