"""One row in any table, whatever it asks for, inside a transaction that is rolled back: to try triggers on."""

from django.db import connection
from psycopg import sql

COLUMNS = """
    SELECT attname, format_type(atttypid, NULL)
      FROM pg_attribute
     WHERE attrelid = %s::regclass AND attnum > 0 AND NOT attisdropped AND attnotnull AND NOT atthasdef
       AND attidentity = ''
     ORDER BY attnum
"""

CONSTRAINTS = "SELECT conname FROM pg_constraint WHERE conrelid = %s::regclass AND contype IN ('c', 'f', 'x')"

VALUES = {
    "uuid": "gen_random_uuid()",
    "timestamp with time zone": "now()",
    "date": "current_date",
    "text": "''",
    "character varying": "''",
    "integer": "1",
    "smallint": "1",
    "bigint": "1",
    "numeric": "1",
    "boolean": "false",
    "bytea": r"'\x00'",
    "jsonb": "'{}'",
}


def any_row(table: str) -> None:
    """Insert one; its checks and foreign keys are dropped first. KeyError for a type that is not known here yet."""
    with connection.cursor() as cursor:
        cursor.execute(CONSTRAINTS, [table])
        for (name,) in cursor.fetchall():
            cursor.execute(
                sql.SQL("ALTER TABLE {} DROP CONSTRAINT {}").format(sql.Identifier(table), sql.Identifier(name))
            )
        cursor.execute(COLUMNS, [table])
        columns = dict(cursor.fetchall())
        cursor.execute(
            sql.SQL("INSERT INTO {} ({}) VALUES ({})").format(
                sql.Identifier(table),
                sql.SQL(", ").join(map(sql.Identifier, columns)),
                sql.SQL(", ").join(sql.SQL(VALUES[kind]) for kind in columns.values()),
            )
        )
