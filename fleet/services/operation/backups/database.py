"""What a database says of itself: its tables and their rows, its roles, its migrations, and where histories end."""

import hashlib

from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from psycopg import sql

from fleet.services.operation.database_roles import SCHEMA
from fleet.services.records.digests import unit_lines

NOT_OURS = """
    SELECT string_agg(relname, ', ' ORDER BY relname) FROM pg_class
     WHERE relnamespace = %s::regnamespace AND relkind IN ('r', 'p', 'S')
       AND NOT pg_has_role(current_user, relowner, 'USAGE')
"""
OWNED = "SELECT pg_has_role(current_user, datdba, 'USAGE') FROM pg_database WHERE datname = current_database()"
TABLES = "SELECT relname FROM pg_class WHERE relnamespace = %s::regnamespace AND relkind IN ('r', 'p') ORDER BY 1"
GRANTED = """
    SELECT DISTINCT role.rolname
      FROM (SELECT relacl AS rights, relowner AS owner FROM pg_class WHERE relnamespace = %(schema)s::regnamespace
             UNION ALL
            SELECT proacl, proowner FROM pg_proc WHERE pronamespace = %(schema)s::regnamespace) AS object
     CROSS JOIN aclexplode(object.rights) AS given
      JOIN pg_roles AS role ON role.oid = given.grantee
     WHERE given.grantee <> object.owner
     ORDER BY 1
"""
"""Roles that the dump gives rights to, which must be there when it is loaded."""

RESTORING = "a restore into this database is at work, or was interrupted"
"""The comment on a database from before it is filled until that is on record."""
COMMENT = """
    SELECT shobj_description(oid, 'pg_database') FROM pg_database WHERE datname = current_database()
"""


def say_restoring(*, begun: bool) -> None:
    """Write on the database that it is being filled, or take it off."""
    comment = sql.Literal(RESTORING if begun else None)
    name = sql.Identifier(connection.settings_dict["NAME"])
    with connection.cursor() as cursor:
        cursor.execute(sql.SQL("COMMENT ON DATABASE {} IS {}").format(name, comment))


def is_half_restored() -> bool:
    """Whether a restore was begun and is not on record."""
    with connection.cursor() as cursor:
        cursor.execute(COMMENT)
        return bool(cursor.fetchall() == [(RESTORING,)])


def tables() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(TABLES, [SCHEMA])
        return [str(name) for (name,) in cursor.fetchall()]


def row_counts() -> dict[str, int]:
    """How many rows each table has."""
    counts = {}
    with connection.cursor() as cursor:
        for table in tables():
            cursor.execute(sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(SCHEMA, table)))
            ((counts[table],),) = cursor.fetchall()
    return counts


def not_owned() -> str:
    """Tables and sequences that the role does not own, which it may not dump or replace; empty when it owns all."""
    with connection.cursor() as cursor:
        cursor.execute(NOT_OURS, [SCHEMA])
        ((names,),) = cursor.fetchall()
    return names or ""


def is_owned() -> bool:
    """Whether the role owns the database itself, as it must to fill it."""
    with connection.cursor() as cursor:
        cursor.execute(OWNED)
        return bool(cursor.fetchall() == [(True,)])


def roles_granted() -> list[str]:
    """The roles that hold rights on tables or functions without owning them."""
    with connection.cursor() as cursor:
        cursor.execute(GRANTED, {"schema": SCHEMA})
        return [str(name) for (name,) in cursor.fetchall()]


def roles_there() -> set[str]:
    """Every role of the server."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolname FROM pg_roles")
        return {str(name) for (name,) in cursor.fetchall()}


def migrations_applied() -> list[str]:
    """The migrations that made the tables, as `app.name`."""
    return sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())


def heads_sha256() -> str:
    """The SHA-256 of where all histories end: of the lines that a digest would have of the units."""
    whole = hashlib.sha256()
    for line in unit_lines():
        whole.update(line)
    return whole.hexdigest()


def size() -> int:
    """The bytes of the database on its server's disk, more than a dump of it takes."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        ((size_in_bytes,),) = cursor.fetchall()
    return int(size_in_bytes)
