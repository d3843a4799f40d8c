"""What a whole database holds, table by table: to show that something changed nothing, or only what it should."""

from django.db import connection
from psycopg import sql

Contents = dict[str, tuple[int, str]]

TABLES = """
    SELECT relname FROM pg_class
     WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND relname NOT LIKE 'django\\_%'
     ORDER BY relname
"""
ONE = """
    SELECT {name}, count(*), coalesce(sum(hashint8extended(hash_record_extended(rows, 0), 0)), 0)::text
      FROM {table} AS rows
"""
"""A row's hash is a sum over its columns; hashed again, a value moved from one row to another is seen as well."""


def contents() -> Contents:
    """The number of rows of every table, and the sum of a hash of each, which takes a tenth of sorting them as text."""
    with connection.cursor() as cursor:
        cursor.execute(TABLES)
        tables = [name for (name,) in cursor.fetchall()]
        each = [sql.SQL(ONE).format(name=sql.Literal(name), table=sql.Identifier(name)) for name in tables]
        cursor.execute(sql.SQL(" UNION ALL ").join(each))
        return {name: (count, digest) for name, count, digest in cursor.fetchall()}


def more_rows(before: Contents, after: Contents) -> dict[str, int]:
    """How many rows more each table has that has another number of them."""
    return {name: count - before[name][0] for name, (count, _) in after.items() if count != before[name][0]}
