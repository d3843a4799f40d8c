"""What the role of the web process may do in the database: its work, and nothing that undoes what is kept.

The append-only tables are found by their triggers, in the database itself, so that a new one cannot be forgotten.
"""

from dataclasses import dataclass

from django.db import connection, transaction
from psycopg import sql

from common.errors import Conflict, NotFound

SCHEMA = "public"
MIGRATIONS = "django_migrations"
HOLD = "defects_hold"
LIFT_COLUMNS = ("lifted_at", "lifted_by_id", "lift_signature_id", "lift_reason", "lift_flag")
"""The columns of a hold that its trigger lets be set, once."""

TABLES = """
    SELECT relation.relname,
           EXISTS (SELECT 1 FROM pg_trigger AS kept
                    WHERE kept.tgrelid = relation.oid AND kept.tgname = 'append_only')
      FROM pg_class AS relation
     WHERE relation.relnamespace = %s::regnamespace AND relation.relkind IN ('r', 'p')
     ORDER BY relation.relname
"""

TOO_STRONG = """
    SELECT role.rolsuper OR EXISTS (
               SELECT 1 FROM pg_class AS relation
                WHERE relation.relnamespace = %s::regnamespace AND pg_has_role(role.oid, relation.relowner, 'MEMBER'))
      FROM pg_roles AS role
     WHERE role.rolname = %s
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
    _refuse_strong(role)
    with connection.cursor() as cursor:
        cursor.execute(TABLES, [SCHEMA])
        rows = [(str(name), bool(kept)) for name, kept in cursor.fetchall()]
        granted = Granted(
            ordinary=[name for name, kept in rows if not kept and name != MIGRATIONS],
            append_only=[name for name, kept in rows if kept],
        )
        for statement in (*_clean(role), *_grants(role, granted)):
            cursor.execute(statement)
    return granted


def _refuse_strong(role: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(TOO_STRONG, [SCHEMA, role])
        found = cursor.fetchone()
    if found is None:
        raise NotFound("role_unknown", role=role)
    if found[0]:
        raise Conflict("role_too_strong", role=role)


def _clean(role: str) -> list[sql.Composed]:
    database = connection.settings_dict["NAME"]
    names = {"role": sql.Identifier(role), "schema": sql.Identifier(SCHEMA), "database": sql.Identifier(database)}
    return [
        sql.SQL(text).format(**names)
        for text in (
            "REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM {role}",
            "REVOKE ALL ON ALL SEQUENCES IN SCHEMA {schema} FROM {role}",
            "REVOKE ALL ON FUNCTION purge_history_content(uuid, date) FROM PUBLIC, {role}",
            "REVOKE CREATE ON SCHEMA {schema} FROM PUBLIC, {role}",
            "REVOKE CREATE, TEMPORARY ON DATABASE {database} FROM PUBLIC, {role}",
            "GRANT CONNECT ON DATABASE {database} TO {role}",
            "GRANT USAGE ON SCHEMA {schema} TO {role}",
            "GRANT USAGE ON ALL SEQUENCES IN SCHEMA {schema} TO {role}",
        )
    ]


def _grants(role: str, granted: Granted) -> list[sql.Composed]:
    wanted = [(table, "SELECT, INSERT, UPDATE, DELETE") for table in granted.ordinary]
    wanted += [(table, "SELECT, INSERT") for table in granted.append_only]
    statements = [
        sql.SQL("GRANT {} ON {} TO {}").format(sql.SQL(what), sql.Identifier(SCHEMA, table), sql.Identifier(role))
        for table, what in [*wanted, (MIGRATIONS, "SELECT")]
    ]
    columns = sql.SQL(", ").join(map(sql.Identifier, LIFT_COLUMNS))
    lift = sql.SQL("GRANT UPDATE ({}) ON {} TO {}").format(columns, sql.Identifier(SCHEMA, HOLD), sql.Identifier(role))
    return [*statements, lift]
