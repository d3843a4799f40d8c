"""What keeps a backup and a purge apart, and two restores: locks of the database that end with their connection."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection

from fleet.services.operation.backups.refusal import BackupRefusedError

FILES_STAY = 7_262_531_001
"""Held together by backups that copy files, alone by whoever removes one."""
RESTORING = 7_262_531_002

PATIENCE = "SET statement_timeout = 0; SET idle_in_transaction_session_timeout = 0; SET lock_timeout = '60s'"
"""For a connection that dumps, counts or loads everything; it is the command's own."""


@contextmanager
def files_stay() -> Iterator[None]:
    """Let no file be removed until the block ends; one that is being removed is waited for."""
    with connection.cursor() as cursor:
        cursor.execute(PATIENCE)
        cursor.execute("SELECT pg_advisory_lock_shared(%s)", [FILES_STAY])
        try:
            yield
        finally:
            cursor.execute("SELECT pg_advisory_unlock_shared(%s)", [FILES_STAY])
            held = cursor.fetchone() == (True,)
    if not held:
        raise BackupRefusedError("the connection to the database was lost; files may have been removed meanwhile")


def may_remove_files() -> bool:
    """Whether no backup copies files just now; none begins to until the transaction ends."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [FILES_STAY])
        return bool(cursor.fetchone() == (True,))


@contextmanager
def alone_restoring() -> Iterator[None]:
    """Be the only restore into this database; BackupRefusedError where another is at work."""
    with connection.cursor() as cursor:
        cursor.execute(PATIENCE)
        cursor.execute("SELECT pg_try_advisory_lock(%s)", [RESTORING])
        if cursor.fetchone() != (True,):
            raise BackupRefusedError("another restore into this database is at work")
        try:
            yield
        finally:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [RESTORING])
