"""Keys: the one function that makes them, and how people name a numbered row."""

import uuid

from uuid_utils import compat

LARGEST_NUMBER = 2**63 - 1
"""The largest that a sequence of the database gives."""


def uuid7() -> uuid.UUID:
    """Return a new UUIDv7 (RFC 9562 section 5.7), growing within one process."""
    return compat.uuid7()


def lookup_of(called: str) -> dict[str, int | uuid.UUID] | None:
    """Return the lookup of a numbered row by what it is called: its number or its key; None for what can be neither."""
    if called.isascii() and called.isdigit() and len(called) < len(str(LARGEST_NUMBER)):
        return {"number": int(called)}
    try:
        return {"pk": uuid.UUID(called)}
    except ValueError:
        return None
