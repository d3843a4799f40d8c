"""Which records are recounted from a unit's history: each app adds its own. How one follows from it is in its rules."""

from collections.abc import Callable, Iterator

from fleet.rules.records.recount import OnRecord, Recount

Rows = Callable[[], Iterator[OnRecord]]
"""Every row of that kind, in the order of its unit's key; to be read inside one snapshot."""

_recounts: list[tuple[Recount, Rows]] = []


def add_recount(recount: Recount, rows: Rows) -> None:
    """Add a kind of record, and how its rows are read."""
    _recounts.append((recount, rows))


def recounts() -> tuple[Recount, ...]:
    """All kinds, in the order in which they were added."""
    return tuple(recount for recount, _ in _recounts)


def rows_on_record() -> list[Iterator[OnRecord]]:
    """The rows of each kind."""
    return [rows() for _, rows in _recounts]
