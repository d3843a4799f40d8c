"""What every database role of the service starts from: never too strong, and nothing left of earlier rights.

What each role is then given is in `web_role` and `purge_role`.
"""

from django.db import connection
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
