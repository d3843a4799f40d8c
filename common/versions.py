"""Versions of what people edit: an edit of another version than the present one is refused. Knows no HTTP framework."""

from typing import Protocol

from common.errors import PreconditionFailed


class Versioned(Protocol):
    """Anything with a version that grows by one with each edit."""

    version: int


def etag(version: int) -> str:
    """Return the strong entity tag of a version (RFC 9110 section 8.8.3)."""
    return f'"{version}"'


def require_version(row: Versioned, expected: int | None) -> None:
    """Raise PreconditionFailed `version_changed` unless `expected` is the version of the row, locked by the caller.

    None stands for a tag of the caller that no version has.
    """
    if expected != row.version:
        raise PreconditionFailed("version_changed", current_version=row.version)
