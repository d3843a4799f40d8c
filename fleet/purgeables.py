"""What the database's functions list and delete after its days of keeping, and what goes along."""

from dataclasses import dataclass

from common.composition import contributed
from fleet.enums import Deleted


@dataclass(frozen=True, slots=True)
class Purgeable:
    """A sort of content and its two functions.

    `due(today, among, at_most)` lists it; `delete(kind, records, today, sweep, rule, source)` deletes what is listed,
    writes the deletion records in the same transaction, and returns how many.
    """

    due: str
    delete: str


PURGEABLES = (
    Purgeable("purge_due_history", "purge_history_content"),
    Purgeable("purge_due_scans", "purge_scans"),
)
"""All of them, in the order in which they are deleted."""


@dataclass(frozen=True)
class Companion:
    """What the app's own trigger deletes in the same transaction as the content of such an entry."""

    event: str
    what: Deleted


def companion(event: str) -> Deleted | None:
    """What goes together with the content of such an entry; None where nothing does."""
    return next((part.what for part in contributed(Companion) if part.event == event), None)
