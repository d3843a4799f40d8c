"""What a device token looks like and how long it lasts. Making one and keeping its hash live in services."""

import hashlib
import re
from dataclasses import dataclass
from datetime import datetime, timedelta

PREFIX = "rct_"
"""Marks our tokens, so that one pasted somewhere it should not be can be found by a search."""

FEED_PREFIX = "rcf_"
"""Marks the tokens of feeds: they serve in a feed's address and nowhere else, and no other token serves there."""

LINK_PREFIX = "rcs_"
"""Marks the tokens of signing links: each serves once, for what it was made for, and nowhere else."""

TOKEN_BYTES = 32
SLIDING = timedelta(days=90)
"""A token ends this long after the last day it was used on."""
ABSOLUTE = timedelta(days=365)
"""A token ends this long after the sign-in, however much it is used."""

_DRAWN = "[A-Za-z0-9_-]{43}"
SECRETS = re.compile(rf"(?:{PREFIX}|{FEED_PREFIX}|{LINK_PREFIX}){_DRAWN}")
"""What is never written to a log."""


@dataclass(frozen=True)
class Lifetime:
    """When a token ends if it is not used again, and when it ends in any case."""

    expires_at: datetime
    ends_at: datetime


def token_hash(token: str) -> bytes | None:
    """The SHA-256 by which a token is kept; None for a text that is no token of ours."""
    return _hash(PREFIX, token)


def feed_token_hash(token: str) -> bytes | None:
    """The SHA-256 by which a feed's token is kept; None for a text that is no feed's token, a device's among them."""
    return _hash(FEED_PREFIX, token)


def link_token_hash(token: str) -> bytes | None:
    """The SHA-256 by which a signing link's token is kept; None for a text that is no such token."""
    return _hash(LINK_PREFIX, token)


def lifetime(signed_in_at: datetime) -> Lifetime:
    """How long a new token lasts."""
    return Lifetime(signed_in_at + SLIDING, signed_in_at + ABSOLUTE)


def renewed_until(used_at: datetime, ends_at: datetime) -> datetime:
    """When a token ends that was used at an instant, and never after `ends_at`."""
    return min(used_at + SLIDING, ends_at)


def _hash(prefix: str, token: str) -> bytes | None:
    return hashlib.sha256(token.encode()).digest() if re.fullmatch(prefix + _DRAWN, token) else None
