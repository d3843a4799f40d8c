"""Writing JSON Pointers (RFC 6901)."""

from collections.abc import Iterable


def pointer(path: Iterable[str | int]) -> str:
    """Return the pointer to a place named by keys and indexes; the whole document is the empty text."""
    return "".join(f"/{str(part).replace('~', '~0').replace('/', '~1')}" for part in path)
