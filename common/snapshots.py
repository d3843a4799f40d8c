"""Reading many tables as of one instant. What is read is said where it is used."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction

SNAPSHOT = "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"
"""The first statement of a transaction in which every later one sees the same."""


@contextmanager
def one_snapshot() -> Iterator[None]:
    """Let all that is read within be of one instant; inside a transaction, of that transaction."""
    if connection.in_atomic_block:
        yield
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute(SNAPSHOT)
        yield
