"""Versions of what people edit: an edit of another version than the present one is refused. Knows no HTTP framework."""

from typing import Protocol

from common.canonical import canonical_json, sha256_hex
from common.errors import PreconditionFailed


class Versioned(Protocol):
    """Anything with a version that grows by one with each edit."""

    version: int


def version_of(shown: object) -> int:
    """A version of what is shown where no one row has it: 53 bits of its hash, which every JSON reader keeps exact."""
    return int(sha256_hex(canonical_json(shown))[:16], 16) >> 11


def require_version(row: Versioned, expected: int | None) -> None:
    """Raise PreconditionFailed `version_changed` unless `expected` is the version of the row, locked by the caller.

    None stands for a tag of the caller that no version has.
    """
    if expected != row.version:
        raise PreconditionFailed("version_changed", current_version=row.version)
