"""What can be deleted after its days of keeping, by the database functions that list and delete it; apps add theirs."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Purgeable:
    """A sort of content and its two functions.

    `due(today, among, at_most)` lists it; `delete(kind, records, today, sweep, rule, source)` deletes what is listed,
    writes the deletion records in the same transaction, and returns how many.
    """

    due: str
    delete: str


_purgeables: list[Purgeable] = [Purgeable("purge_due_history", "purge_history_content")]


def purgeables() -> tuple[Purgeable, ...]:
    """All of them, in the order in which they are deleted."""
    return tuple(_purgeables)


def add_purgeable(purgeable: Purgeable) -> None:
    """Add an app's own; those before it are deleted first."""
    _purgeables.append(purgeable)
