"""What an edit asks of the row it changes: that it is still the version which the person saw."""

from typing import Protocol

from common.errors import PreconditionFailed


class Versioned(Protocol):
    """A row whose version grows by one with each edit."""

    version: int


def begin_edit(row: Versioned, expected: int | None) -> None:
    """Raise the version of a locked row for an edit; PreconditionFailed `version_changed` when it is another one.

    `expected` is None for a caller whose version can never match.
    """
    if expected != row.version:
        raise PreconditionFailed("version_changed", current_version=row.version)
    row.version += 1
