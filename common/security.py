"""Security events: one line each on the log `security`, for whoever must find out later who let whom in.

Never a password or a token. Where an event lies in a request, its address is that of the request.
"""

import json
import logging
import re
from contextvars import ContextVar

logger = logging.getLogger("security")

LONGEST = 120
_PLAIN = re.compile(r"[\w.@:/+-]+", re.ASCII)
_address: ContextVar[str] = ContextVar("address", default="console")


def note_address(address: str) -> None:
    """Note where what happens from here on comes from."""
    _address.set(address)


def tell(event: str, name: str, *, actor: str = "", address: str = "", **facts: object) -> None:
    """Log an event: whose sign-in it is about, by whom if by somebody, from where, and what else is to be known."""
    told = {"name": name, "actor": actor, "address": address or _address.get(), **facts}
    logger.info("%s %s", event, " ".join(f"{key}={_shown(value)}" for key, value in told.items()))


def _shown(value: object) -> str:
    """A value that can break out of no line and look like no other value."""
    text = str(value)[:LONGEST]
    return text if _PLAIN.fullmatch(text) else json.dumps(text, ensure_ascii=not text.isprintable())
