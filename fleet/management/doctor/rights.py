"""The rights of the database's roles: neither more nor less than each needs."""

from collections.abc import Iterator

from django.conf import settings
from django.db import DatabaseError, InterfaceError, connection, connections
from django.db.backends.utils import CursorWrapper

from fleet.management.doctor.database import PREPARE
from fleet.management.doctor.diagnosis import Diagnosis, first_line
from fleet.services.operation.database_roles import READ_ONLY, SCHEMA, TABLES, TOO_STRONG
from fleet.services.records.purging.functions import ROLE_OF_ITS_OWN

HELD = """
    SELECT relation.relname, sort
      FROM pg_class AS relation, unnest(ARRAY['SELECT', 'INSERT', 'UPDATE', 'DELETE', 'TRUNCATE']) AS sort
     WHERE relation.relnamespace = %s::regnamespace AND relation.relkind IN ('r', 'p')
       AND has_table_privilege(relation.oid, sort)
"""
CALLABLE = """
    SELECT count(*) FILTER (WHERE has_function_privilege(routine.oid, 'EXECUTE')), count(*)
      FROM pg_proc AS routine
     WHERE routine.pronamespace = %s::regnamespace AND routine.proname LIKE 'purge\\_%%'
"""
WHICH = "SELECT current_database(), pg_postmaster_start_time()"
"""Tells one database from another, by whatever address it is reached."""
ORDINARY = frozenset({"SELECT", "INSERT", "UPDATE", "DELETE"})
APPEND_ONLY = frozenset({"SELECT", "INSERT"})


def examine_web_role() -> Iterator[Diagnosis]:
    """Tell when the role that the service works as could undo what is kept, or lacks what it needs."""
    role = connection.settings_dict["USER"]
    with connection.cursor() as cursor:
        cursor.execute(TOO_STRONG, [SCHEMA, role])
        strong = cursor.fetchone()
        if strong is None or strong[0]:
            yield Diagnosis(
                f"the service works as {role}, a superuser or an owner of its tables: it could change what is kept",
                "let DATABASE_URL name the web role, which owns nothing",
            )
            return
        cursor.execute(TABLES, [SCHEMA])
        wanted = {str(table): _wanted(str(table), bool(kept)) for table, kept in cursor.fetchall()}
        held = _held(cursor)
    too_much = sorted(table for table, sorts in wanted.items() if held.get(table, set()) - sorts)
    too_little = sorted(table for table, sorts in wanted.items() if sorts - held.get(table, set()))
    if too_much:
        yield Diagnosis(f"{role} may change what is kept for good, in {', '.join(too_much)}", PREPARE)
    if too_little:
        yield Diagnosis(f"{role} lacks rights on {', '.join(too_little)}", PREPARE)


def examine_purge_role() -> Iterator[Diagnosis]:
    """Tell when what is past its days cannot be deleted, or the role for that could do more."""
    if ROLE_OF_ITS_OWN not in settings.DATABASES:
        yield Diagnosis(
            "PURGE_DATABASE_URL is not set here: nothing that is past its retention is deleted",
            "ask where the worker runs (compose: `docker-compose exec worker python manage.py doctor`)",
        )
        return
    there = connections[ROLE_OF_ITS_OWN]
    role = there.settings_dict["USER"]
    try:
        with there.cursor() as cursor:
            cursor.execute(TOO_STRONG, [SCHEMA, role])
            (strong,) = cursor.fetchone()
            readable = _held(cursor)
            cursor.execute(CALLABLE, [SCHEMA])
            may_call, functions = cursor.fetchone()
            cursor.execute(WHICH)
            which = cursor.fetchone()
    except (DatabaseError, InterfaceError) as why:
        yield Diagnosis(f"the role that deletes, {role}, is not let in: {first_line(why)}", "mend PURGE_DATABASE_URL")
        return
    with connection.cursor() as cursor:
        cursor.execute(WHICH)
        if cursor.fetchone() != which:
            yield Diagnosis(
                f"{role} deletes in another database, {there.settings_dict['NAME']}, and nothing here",
                "let PURGE_DATABASE_URL name the database of DATABASE_URL",
            )
            return
    if strong or readable:
        yield Diagnosis(f"{role}, which deletes what is past its days, may do more than that", PREPARE)
    elif may_call < functions:
        yield Diagnosis(f"{role} may call {may_call} of {functions} functions that delete", PREPARE)


def _wanted(table: str, kept: bool) -> frozenset[str]:
    if table in READ_ONLY:
        return frozenset({"SELECT"})
    return APPEND_ONLY if kept else ORDINARY


def _held(cursor: CursorWrapper) -> dict[str, set[str]]:
    cursor.execute(HELD, [SCHEMA])
    held: dict[str, set[str]] = {}
    for table, sort in cursor.fetchall():
        held.setdefault(table, set()).add(sort)
    return held
