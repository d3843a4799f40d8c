"""Keys: the one function that makes them, and the time written inside one. Holds no checks of request input."""

import uuid
from datetime import UTC, datetime

from uuid_utils import compat


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
