"""Every production module: how long it may be, that its imports stand at its top, and that something reaches it."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from statistics import median

import pytest

from config.env import CHECKOUT

APPS = ("common", "config", "defects", "fleet", "pages", "workorders")
LONGEST, MEDIAN = 300, 80
BY_NAME = {
    "common.api.idempotency": "the store of responses lies in an app above it",
    "common.apps": "the checks need Django to be ready",
    "common.composition": "config, above it, says which apps contribute",
    "fleet.services.notifications.skipped_records": "the web process does not load Celery, which cuts runs off",
    "fleet.services.operation.file_stores.choice": "only a host whose files lie in a bucket loads its client",
}
"""Modules that import by a name, and why they cannot do otherwise."""
FINDING_BY_NAME = {
    *("import_module", "import_string", "__import__", "get_model", "resolve_name", "run_module", "run_path"),
    *("exec", "eval", "spec_from_file_location"),
}
ENTRY_POINTS = {
    "common.translations",
    "config.asgi",
    "config.beat",
    "config.celery",
    "config.gunicorn",
    "config.health",
    "config.local.demo",
    "config.local.postgres",
    "config.postgresql.base",  # the engine of the settings
    "config.prepare",
    "config.wsgi",
    "fleet.management.refusals",  # manage.py
    "fleet.services.records.unit_file.verify",  # copied into each unit file
}
"""What a server or a command line starts; besides commands, settings, apps and migrations."""


@cache
def modules() -> dict[str, Path]:
    """Every production module by its dotted name; migrations and stubs are left out."""
    found = {}
    for path in (path for app in APPS for path in (CHECKOUT / app).rglob("*.py")):
        parts = path.relative_to(CHECKOUT).with_suffix("").parts
        if "migrations" not in parts and "stubs" not in parts:
            found[".".join(parts).removesuffix(".__init__")] = path
    return found


@cache
def tree(name: str) -> ast.Module:
    return ast.parse(modules()[name].read_text(encoding="utf-8"))


def imported(name: str) -> set[str]:
    """The production modules that a module imports, each with the packages it lies in."""
    named: set[str] = set()
    for node in ast.walk(tree(name)):
        if isinstance(node, ast.Import):
            named |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            named |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return {part for one in named for part in with_packages(one)} & modules().keys()


def with_packages(name: str) -> Iterator[str]:
    parts = name.split(".")
    return (".".join(parts[:length]) for length in range(1, len(parts) + 1))


def texts(name: str) -> set[str]:
    """The strings of a module, by which settings and Django name other modules."""
    return {node.value for node in ast.walk(tree(name)) if isinstance(node, ast.Constant) and type(node.value) is str}


def test_no_module__is_over_300_lines_and_half_are_under_80() -> None:
    lines = {name: len(path.read_text(encoding="utf-8").splitlines()) for name, path in modules().items()}
    assert len(lines) > 500
    assert {name: count for name, count in lines.items() if count > LONGEST} == {}
    assert median(lines.values()) < MEDIAN


def test_imports__stand_at_the_top_of_their_module() -> None:
    inside = [
        f"{name}:{node.lineno}"
        for name in modules()
        for function in ast.walk(tree(name))
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    assert inside == []


def imports_by_name(module: ast.AST) -> bool:
    """Whether it imports, calls, or takes under another name, what finds a module or a model by a text."""
    named = (
        name
        for node in ast.walk(module)
        for name in (
            *(one.name for one in getattr(node, "names", ()) if isinstance(one, ast.alias)),
            getattr(node, "id", getattr(node, "attr", "")),
        )
    )
    return not FINDING_BY_NAME.isdisjoint(named) or "sys.modules" in ast.unparse(module)


def test_imports_by_name__are_those_listed() -> None:
    assert {name for name in modules() if imports_by_name(tree(name))} == set(BY_NAME)


@pytest.mark.parametrize(
    "source",
    [
        "import_module('fleet.jobs')",
        "from importlib import import_module as take",
        "from django.utils.module_loading import import_string as take",
        "importlib.import_module(name)",
        "__import__('fleet.jobs')",
        "apps.get_model('fleet', 'Unit')",
        "pkgutil.resolve_name('fleet.jobs')",
        "runpy.run_module('fleet.jobs')",
        "sys.modules['fleet.jobs']",
        "exec('import fleet.jobs')",
        "eval('fleet.jobs')",
    ],
)
def test_import_by_name__is_found(source: str) -> None:
    assert imports_by_name(ast.parse(source))


def test_every_module__is_reached_from_where_the_service_is_entered() -> None:
    entered = (name for name in modules() if name in ENTRY_POINTS or is_entered(name))
    waiting = [part for name in entered for part in with_packages(name)]
    reached: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            named = {part for text in texts(name) if " " not in text for part in with_packages(text)}
            waiting += (imported(name) | (named & modules().keys())) - reached
    assert sorted(set(modules()) - reached) == []


def is_entered(name: str) -> bool:
    """Whether Django or Python finds it by where it lies: a command, a template's tags, an app's or main module."""
    by_folder = ".management.commands." in name or ".templatetags." in name or name.startswith("config.settings")
    return by_folder or name.rpartition(".")[2] in {"apps", "__main__"}
