"""What is said of a store of files that is full, out of reach or out of order: try again soon."""

from common.errors import Unavailable

RETRY_AFTER_S = 60
"""A disk is not given room, nor a bucket reached again, within seconds."""


def unavailable() -> Unavailable:
    """Return the refusal `file_store_unavailable`."""
    return Unavailable("file_store_unavailable", retry_after=RETRY_AFTER_S)
