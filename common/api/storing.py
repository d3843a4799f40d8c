"""What a device may keep of the answers (RFC 9111): decided by the address alone, so that no view forgets it."""

from django.conf import settings

NEVER = "no-store"
IF_ASKED_AGAIN = "private, no-cache"
"""It may be kept and shown when the service says, by its ETag, that it still holds."""
FOR_GOOD = "private, max-age=31536000, immutable"
"""For what is named by its hash and tells of nobody."""


def storing(path: str) -> str:
    """Return the Cache-Control of an answer; `API_NEVER_STORED` names the parts of an address that forbid keeping."""
    return IF_ASKED_AGAIN if settings.API_NEVER_STORED.isdisjoint(path.split("/")) else NEVER
