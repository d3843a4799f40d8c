"""What caused the present work, a request or a job. Its name stands in every log line and on what it creates."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

NOTHING = "-"
LONGEST = 64

_present: ContextVar[str] = ContextVar("cause", default=NOTHING)


def present_cause() -> str:
    """Return the name of what caused the present work; `-` outside of any."""
    return _present.get()


def begin_cause(name: str) -> None:
    """Let what follows be caused by `name`, as far as this thread goes."""
    _present.set(name[:LONGEST])


@contextmanager
def caused_by(name: str) -> Iterator[None]:
    """Let what the block does be caused by `name`."""
    before = _present.set(name[:LONGEST])
    try:
        yield
    finally:
        _present.reset(before)


def run_name(job: str, key: str) -> str:
    """Return what one run of a job is called; `key` is told from others by its end."""
    return f"{job}-{key[-12:]}"


class CauseFilter(logging.Filter):
    """Gives every log record the attribute `request_id`: the request, or the job, that it belongs to."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = _present.get()
        return True
