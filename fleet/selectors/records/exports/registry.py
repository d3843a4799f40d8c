"""All tables that are given out. An app above adds its own with `add_tables` when it starts."""

from collections.abc import Iterable
from functools import cache

from fleet.selectors.records.exports.fleet_tables import own_tables
from fleet.selectors.records.exports.tables import ExportTable

_added: list[ExportTable] = []


def tables_for(roles: frozenset[str]) -> tuple[ExportTable, ...]:
    """Return the tables that somebody with these roles may have, in the order in which they are given out."""
    return tuple(table for table in (*_own(), *_added) if not table.readers.isdisjoint(roles))


def add_tables(tables: Iterable[ExportTable]) -> None:
    """Add an app's own; ValueError when a name is taken."""
    for table in tables:
        if any(known.name == table.name for known in (*_own(), *_added)):
            raise ValueError(f"there is a table {table.name!r} already")
        _added.append(table)


@cache
def _own() -> tuple[ExportTable, ...]:
    return tuple(own_tables())
