"""Security events: one line each on the log `security`, for whoever must find out later who let whom in.

Never a password or a token. Where an event lies in a request, its address is that of the request.
"""

import json
import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

logger = logging.getLogger("security")

LONGEST = 120
_PLAIN = re.compile(r"[\w.@:/+-]+", re.ASCII)
_address: ContextVar[str] = ContextVar("address", default="console")


@contextmanager
def coming_from(address: str) -> Iterator[None]:
    """Say where comes from what happens inside."""
    before = _address.set(address)
    try:
        yield
    finally:
        _address.reset(before)


def log_event(event: str, name: str, *, actor: str = "", address: str = "", **facts: object) -> None:
    """Log an event: whose sign-in it is about, by whom if by somebody, from where, and what else is to be known."""
    event_facts = {"name": name, "actor": actor, "address": address or _address.get(), **facts}
    cut = {key: str(value)[:LONGEST] for key, value in event_facts.items()}
    line = " ".join(f"{key}={_shown(text)}" for key, text in cut.items())
    logger.info("%s %s", event, line, extra={"event": event, "facts": cut})


def _shown(text: str) -> str:
    """A value that can break out of no line and look like no other value."""
    return text if _PLAIN.fullmatch(text) else json.dumps(text, ensure_ascii=not text.isprintable())
