"""What the role of the web process may do in the database: its work, and nothing that undoes what is kept.

The append-only tables are found by their triggers, in the database itself, so that a new one cannot be forgotten.
"""

from dataclasses import dataclass

from django.db import connection, transaction
from psycopg import sql

from fleet.services.operation.role_rights import SCHEMA, forget_rights, on_schema, refuse_strong

MIGRATIONS = "django_migrations"
SET_ONCE = {
    "defects_hold": ("lifted_at", "lifted_by_id", "lift_signature_id", "lift_reason", "lift_flag"),
    "defects_report": (
        *("unit_id", "checks", "looked_at", "places_asked", "places_covered", "left_open", "queried", "review_owed"),
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
    return [
        *forget_rights(role),
        on_schema("GRANT USAGE ON ALL SEQUENCES IN SCHEMA {schema} TO {role}", role),
    ]


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
