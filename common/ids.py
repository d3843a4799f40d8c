"""Keys: the one function that makes them, the time written inside one, and how people name a numbered row."""

import uuid
from datetime import UTC, datetime

from uuid_utils import compat

LARGEST_NUMBER = 2**63 - 1
"""The largest that a sequence of the database gives."""


def uuid7() -> uuid.UUID:
    """Return a new UUIDv7 (RFC 9562 section 5.7), growing within one process."""
    return compat.uuid7()


def uuid7_time(key: uuid.UUID) -> datetime | None:
    """Return the instant written in a UUIDv7, in UTC to the millisecond; None for any other kind of UUID.

    Whoever made the key wrote the time, so it is a hint and never evidence.
    """
    if key.variant != uuid.RFC_4122 or key.version != 7:  # noqa: PLR2004 - the version's own number
        return None
    milliseconds = key.int >> 80
    try:
        return datetime.fromtimestamp(milliseconds // 1000, UTC).replace(microsecond=milliseconds % 1000 * 1000)
    except (OverflowError, ValueError):
        return None  # 48 bits reach the year 10889, past what a datetime holds


def lookup_of(called: str) -> dict[str, int | uuid.UUID] | None:
    """Return the lookup of a numbered row by what it is called: its number or its key; None for what can be neither."""
    if called.isascii() and called.isdigit() and len(called) < len(str(LARGEST_NUMBER)):
        return {"number": int(called)}
    try:
        return {"pk": uuid.UUID(called)}
    except ValueError:
        return None
