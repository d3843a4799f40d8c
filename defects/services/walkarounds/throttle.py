"""How fast one person's dear walk-arounds are taken in: one after the other, and not without end; none is dropped.

Dear is what is `LARGE`, or may be of more than `MANY` findings; all others are taken in as they come.
"""

from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from datetime import datetime, timedelta

from django.db import DatabaseError, connection

from common.errors import TooOften
from fleet.models import Person

LARGE = 128 * 1024
"""Characters as sent. Every point of a combination answered, with notes, is half of it."""
MANY = 100
"""Faults, and answers by which one may be found. A driver has a dozen, and measures some sixty values; each that is
found costs a defect, entries of history and a task."""
WITHIN = timedelta(minutes=10)
MOST_STORED = 60 * 1024 * 1024
"""Bytes on disk; a driver's week without signal is some five megabytes. Our own figures."""
RETRY_AFTER_BUSY_S, RETRY_AFTER_FULL_S = 5, 120

_CLASS = 0x57414C4B
"""Of the advisory locks, whose second half is a person."""

_STORED = """
WITH lately AS (SELECT id FROM defects_walkaround WHERE person_id = %s AND received_at > %s)
SELECT coalesce(sum(size), 0) FROM (
    SELECT pg_column_size(checks) + pg_column_size(faults) + pg_column_size(flags) AS size
    FROM defects_report WHERE walkaround_id IN (SELECT id FROM lately)
    UNION ALL
    SELECT pg_column_size(text) FROM defects_sentbody WHERE id IN (SELECT id FROM lately)
) AS stored
"""


class Throttle(ExitStack):
    """Leaves a person's walk-around alone, or holds the person's place from when it turns out dear until it is stored.

    TooOften `walkarounds_too_fast` from both methods.
    """

    def __init__(self, *, actor: Person, now: datetime) -> None:
        super().__init__()
        self._place: AbstractContextManager[None] | None = _one_at_a_time(actor, now)

    def admit_text(self, text: str) -> None:
        """Look at how large it is, before it is read."""
        if len(text) > LARGE:
            self._hold()

    def admit_faults(self, found: int) -> None:
        """Look at how much may be found by it, before it is stored."""
        if found > MANY:
            self._hold()

    def _hold(self) -> None:
        if self._place is not None:
            place, self._place = self._place, None
            self.enter_context(place)


@contextmanager
def _one_at_a_time(actor: Person, now: datetime) -> Iterator[None]:
    """Refuse while another of the same person is at work, or once so much was stored lately: one web process each."""
    held = (_CLASS, actor.pk.int & 0x7FFFFFFF)
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(%s, %s)", held)
        if cursor.fetchone() != (True,):
            raise TooOften("walkarounds_too_fast", retry_after=RETRY_AFTER_BUSY_S)
    try:
        with connection.cursor() as cursor:
            cursor.execute(_STORED, [actor.pk, now - WITHIN])
            (stored,) = cursor.fetchone()
        if stored >= MOST_STORED:
            raise TooOften("walkarounds_too_fast", retry_after=RETRY_AFTER_FULL_S)
        yield
    finally:
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock(%s, %s)", held)
        except DatabaseError:
            connection.close()  # the place goes with the session that held it
