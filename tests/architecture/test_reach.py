"""How many modules of ours a reader may meet behind one request: what its view imports, and what that imports."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APPS = ("common", "fleet", "defects", "workorders", "pages", "config")


@cache
def modules() -> dict[str, Path]:
    found = {}
    for app in APPS:
        for path in (ROOT / app).rglob("*.py"):
            parts = path.relative_to(ROOT).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(module: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(modules()[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            inner = [f"{node.module}.{name.name}" for name in node.names]
            yield from (name if name in modules() else node.module for name in inner)


def reached(start: str) -> set[str]:
    seen: set[str] = set()
    left = [start]
    while left:
        module = left.pop()
        if module in modules() and module not in seen:
            seen.add(module)
            left += imported(module)
    return seen


@pytest.mark.parametrize(("view", "most"), [("defects.api.walkarounds.views", 120)])
def test_view__reaches_no_more_modules(view: str, most: int) -> None:
    """The number only falls. What makes it rise belongs behind a signal, or into a module of its own."""
    found = reached(view)
    assert len(found) <= most, sorted(found)


def test_count__sees_what_is_imported_by_what_is_imported() -> None:
    assert {"defects.models.walkarounds", "fleet.models.units", "common.errors"} <= reached(
        "defects.api.walkarounds.views"
    )
