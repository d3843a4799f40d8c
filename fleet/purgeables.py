"""What can be deleted after its days of keeping, by the database functions that list and delete it; apps add theirs."""

from dataclasses import dataclass

from fleet.enums import Deleted


@dataclass(frozen=True, slots=True)
class Purgeable:
    """A sort of content and its two functions.

    `due(today, among, at_most)` lists it; `delete(kind, records, today, sweep, rule, source)` deletes what is listed,
    writes the deletion records in the same transaction, and returns how many.
    """

    due: str
    delete: str


_purgeables: list[Purgeable] = [
    Purgeable("purge_due_history", "purge_history_content"),
    Purgeable("purge_due_scans", "purge_scans"),
]

_goes_along: dict[str, Deleted] = {}


def purgeables() -> tuple[Purgeable, ...]:
    """All of them, in the order in which they are deleted."""
    return tuple(_purgeables)


def add_purgeable(purgeable: Purgeable) -> None:
    """Add an app's own; those before it are deleted first."""
    _purgeables.append(purgeable)


def add_companion(event: str, what: Deleted) -> None:
    """Say what the app's own trigger deletes in the same transaction as the content of such an entry."""
    _goes_along[event] = what


def companion(event: str) -> Deleted | None:
    """What goes together with the content of such an entry; None where nothing does."""
    return _goes_along.get(event)
