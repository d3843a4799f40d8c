"""The three roles and the database of a cluster: the owner migrates, the other two own nothing."""

import psycopg
from psycopg import sql

from config.database_url import Database

DATABASE = "reefer"
OWNER = "reefer_owner"
WEB = "reefer_web"
PURGE = "reefer_purge"


def prepare(superuser: Database) -> None:
    """Make what is missing; safe to run again. The owner may make test databases and act as the others."""
    with psycopg.connect(superuser.url(), autocommit=True, options="-c statement_timeout=60s") as connection:
        known = {str(row[0]) for row in connection.execute("SELECT rolname FROM pg_roles")}
        if OWNER not in known:
            connection.execute(sql.SQL("CREATE ROLE {} LOGIN CREATEDB").format(sql.Identifier(OWNER)))
        for role in (WEB, PURGE):
            if role not in known:
                connection.execute(sql.SQL("CREATE ROLE {} LOGIN").format(sql.Identifier(role)))
                connection.execute(sql.SQL("GRANT {} TO {}").format(sql.Identifier(role), sql.Identifier(OWNER)))
        there = connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [DATABASE]).fetchone()
        if there is None:
            connection.execute(
                sql.SQL("CREATE DATABASE {} OWNER {}").format(sql.Identifier(DATABASE), sql.Identifier(OWNER))
            )
