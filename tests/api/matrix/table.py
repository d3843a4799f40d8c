"""Reading the tables of who may do what, one file for each app."""

import tomllib
from itertools import chain
from pathlib import Path

from fleet.enums import Role

ROLES = tuple(Role)
_FILES = sorted(Path(__file__).parent.glob("*.toml"))
_READ = [tomllib.loads(file.read_text(encoding="utf-8")) for file in _FILES]


def _part(name: str) -> dict[str, str]:
    """One part of all tables together; ValueError for an operation with two lines in it."""
    lines = list(chain.from_iterable(table.get(name, {}).items() for table in _READ))
    if len(dict(lines)) < len(lines):
        msg = f"an operation has two lines in {name}"
        raise ValueError(msg)
    return dict(lines)


TABLE = {name: _part(name) for name in ("operations", "foreign", "shared")}


def roles_named(text: str) -> frozenset[Role]:
    """The roles of a line of the table; ValueError for a word that is no role."""
    return frozenset(ROLES) if text in {"any", "anonymous"} else frozenset(Role(word) for word in text.split())
