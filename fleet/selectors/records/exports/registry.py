"""All tables that are given out: each app contributes its own."""

from functools import cache

from common.composition import contributed, indexed
from fleet.selectors.records.exports.tables import ExportTable, ExportTables


def tables_for(roles: frozenset[str]) -> tuple[ExportTable, ...]:
    """Return the tables that somebody with these roles may have, in the order in which they are given out."""
    return tuple(table for table in _tables(contributed(ExportTables)) if not table.readers.isdisjoint(roles))


@cache
def _tables(parts: tuple[ExportTables, ...]) -> tuple[ExportTable, ...]:
    return tuple(indexed((table.name, table) for part in parts for table in part.make()).values())
