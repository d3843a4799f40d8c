"""Which migrations this release knows: its own, and the earlier ones that its first stand for (decision 58)."""

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from django.db.migrations.loader import MigrationLoader

Step = tuple[str, str]
"""An app and the name of one of its migrations."""


def own() -> frozenset[Step]:
    """Return those whose files are here."""
    return frozenset(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)


def known() -> frozenset[Step]:
    """Return those, and the ones that were joined into them."""
    return own() | {step for joined in _joined() for step in joined}


def lacking(applied: AbstractSet[Step]) -> list[Step]:
    """Return what a database of an earlier release lacks for this one to take it over; an empty one lacks nothing."""
    return sorted(step for joined in _joined() if joined & applied for step in joined - applied)


def _joined() -> Iterator[frozenset[Step]]:
    disk = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    return (frozenset(migration.replaces) for migration in disk.values() if migration.replaces)
