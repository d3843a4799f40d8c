"""What an edit asks of the row it changes: that it is still the version which the person saw."""

from common.versions import Versioned, require_version


def begin_edit(row: Versioned, expected: int | None) -> None:
    """Raise the version of a locked row for an edit; PreconditionFailed `version_changed` when it is another one.

    `expected` is None for a caller whose version can never match.
    """
    require_version(row, expected)
    row.version += 1
