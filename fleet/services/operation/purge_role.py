"""What the role that purges may do in the database: call the functions that check before they delete, nothing else."""

from django.db import connection, transaction
from psycopg import sql

from fleet.services.operation.role_rights import forget_rights, purge_functions, refuse_strong


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
