"""What the database roles of the service may do: the web process its work, the purging role the checked deletions.

The append-only tables are found by their triggers, in the database itself, so that a new one cannot be forgotten.
"""

from dataclasses import dataclass

from django.db import connection, transaction
from psycopg import sql

from common.errors import Conflict, NotFound

SCHEMA = "public"

TOO_STRONG = """
    SELECT role.rolsuper OR EXISTS (
               SELECT 1 FROM pg_class AS relation
                WHERE relation.relnamespace = %s::regnamespace AND pg_has_role(role.oid, relation.relowner, 'MEMBER'))
      FROM pg_roles AS role
     WHERE role.rolname = %s
"""

PURGE_FUNCTIONS = """
    SELECT format('%%I.%%I(%%s)', namespace.nspname, routine.proname, pg_get_function_identity_arguments(routine.oid))
      FROM pg_proc AS routine JOIN pg_namespace AS namespace ON namespace.oid = routine.pronamespace
     WHERE namespace.nspname = %s AND routine.proname LIKE 'purge\\_%%'
     ORDER BY 1
"""
"""Found by their names, so that a new one cannot be forgotten."""


def refuse_strong(role: str) -> None:
    """Raise NotFound `role_unknown`, Conflict `role_too_strong` for a superuser or one that owns tables."""
    with connection.cursor() as cursor:
        cursor.execute(TOO_STRONG, [SCHEMA, role])
        found = cursor.fetchone()
    if found is None:
        raise NotFound("role_unknown", role=role)
    if found[0]:
        raise Conflict("role_too_strong", role=role)


def purge_functions() -> list[sql.SQL]:
    """Return the functions that list, date or delete records past their days, each with its parameters."""
    with connection.cursor() as cursor:
        cursor.execute(PURGE_FUNCTIONS, [SCHEMA])
        return [sql.SQL(name) for (name,) in cursor.fetchall()]


def forget_rights(role: str) -> list[sql.Composed]:
    """Return the statements that take every right from a role but to connect and to name what is in the schema."""
    return [
        *(
            on_schema(text, role)
            for text in (
                "REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM {role}",
                "REVOKE ALL ON ALL SEQUENCES IN SCHEMA {schema} FROM {role}",
                "REVOKE CREATE ON SCHEMA {schema} FROM PUBLIC, {role}",
                "REVOKE CREATE, TEMPORARY ON DATABASE {database} FROM PUBLIC, {role}",
                "GRANT CONNECT ON DATABASE {database} TO {role}",
                "GRANT USAGE ON SCHEMA {schema} TO {role}",
            )
        ),
        *(
            sql.SQL("REVOKE ALL ON FUNCTION {} FROM PUBLIC, {}").format(function, sql.Identifier(role))
            for function in purge_functions()
        ),
    ]


def on_schema(text: str, role: str) -> sql.Composed:
    """Return a statement with the role, the schema and the database in their places."""
    database = connection.settings_dict["NAME"]
    return sql.SQL(text).format(
        role=sql.Identifier(role), schema=sql.Identifier(SCHEMA), database=sql.Identifier(database)
    )


MIGRATIONS = "django_migrations"
SET_ONCE = {
    "defects_hold": ("lifted_at", "lifted_by_id", "lift_signature_id", "lift_reason", "lift_flag"),
    "defects_report": (
        *("unit_id", "checks", "looked_at", "places_required", "places_covered", "left_open", "flags", "review_due"),
        *("unit_assigned_by_id", "unit_assigned_at"),
    ),
    "fleet_legalhold": ("lifted_at", "lifted_by_id", "lift_reason"),
}
"""The columns that the trigger of an append-only table lets be set, once."""
READ_ONLY = (MIGRATIONS, "fleet_deletion", "fleet_restore")
"""What only the owner's migrations, functions and commands write."""

TABLES = """
    SELECT relation.relname,
           EXISTS (SELECT 1 FROM pg_trigger AS kept
                    WHERE kept.tgrelid = relation.oid AND kept.tgname = 'append_only')
      FROM pg_class AS relation
     WHERE relation.relnamespace = %s::regnamespace AND relation.relkind IN ('r', 'p')
     ORDER BY relation.relname
"""


@dataclass(frozen=True)
class Granted:
    """The tables by what the role may do with them."""

    ordinary: list[str]
    append_only: list[str]


@transaction.atomic
def grant_web_role(*, role: str) -> Granted:
    """Give a role exactly what the web process needs and take away what it had. To be run after every migration.

    Raises NotFound `role_unknown`, and Conflict `role_too_strong` for a superuser, an owner of a table or a member
    of one: no grant would keep that role from disabling a trigger.
    """
    refuse_strong(role)
    with connection.cursor() as cursor:
        cursor.execute(TABLES, [SCHEMA])
        rows = [(str(name), bool(kept)) for name, kept in cursor.fetchall()]
        granted = Granted(
            ordinary=[name for name, kept in rows if not kept and name not in READ_ONLY],
            append_only=[name for name, kept in rows if kept and name not in READ_ONLY],
        )
        for statement in (*_clean(role), *_grants(role, granted)):
            cursor.execute(statement)
    return granted


def _clean(role: str) -> list[sql.Composed]:
    return [*forget_rights(role), on_schema("GRANT USAGE ON ALL SEQUENCES IN SCHEMA {schema} TO {role}", role)]


def _grants(role: str, granted: Granted) -> list[sql.Composed]:
    wanted = [(table, "SELECT, INSERT, UPDATE, DELETE") for table in granted.ordinary]
    wanted += [(table, "SELECT, INSERT") for table in granted.append_only]
    statements = [
        sql.SQL("GRANT {} ON {} TO {}").format(sql.SQL(what), sql.Identifier(SCHEMA, table), sql.Identifier(role))
        for table, what in [*wanted, *((table, "SELECT") for table in READ_ONLY)]
    ]
    lifts = [
        sql.SQL("GRANT UPDATE ({}) ON {} TO {}").format(
            sql.SQL(", ").join(map(sql.Identifier, columns)), sql.Identifier(SCHEMA, table), sql.Identifier(role)
        )
        for table, columns in SET_ONCE.items()
    ]
    return [*statements, *lifts]


@transaction.atomic
def grant_purge_role(*, role: str) -> int:
    """Let a role call the purge functions and take away everything else; how many functions there are.

    To be run after every migration. Raises as `grant_web_role` does.
    """
    refuse_strong(role)
    functions = purge_functions()
    grants = [sql.SQL("GRANT EXECUTE ON FUNCTION {} TO {}").format(name, sql.Identifier(role)) for name in functions]
    with connection.cursor() as cursor:
        for statement in (*forget_rights(role), *grants):
            cursor.execute(statement)
    return len(functions)
