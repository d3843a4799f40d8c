"""What Django is told of one database: as which role, how long anything may take. Which ones there are is in base."""

from typing import Any

from config.database_url import Database
from config.env import Environment

PREPARED_AFTER = 3
"""A connection prepares a statement that it has sent so often; it keeps the hundred that it used last."""


def database_settings(environment: Environment, database: Database) -> dict[str, Any]:
    """Return the settings of one connection; its times are in milliseconds, its age in seconds."""
    return {
        "ENGINE": "config.postgresql",
        "NAME": database.name,
        "USER": database.user,
        "PASSWORD": database.password,
        "HOST": database.host,
        "PORT": database.port,
        "CONN_MAX_AGE": environment.conn_max_age,
        "CONN_HEALTH_CHECKS": True,
        "OPTIONS": {
            **database.options,
            "application_name": "reefer-clearance",
            "connect_timeout": 3,
            # The server takes values apart from statements and plans a statement anew only until it has seen it often.
            "server_side_binding": True,
            "prepare_threshold": PREPARED_AFTER,
            "options": (
                f"-c statement_timeout={environment.statement_timeout_ms}"
                f" -c lock_timeout={environment.lock_timeout_ms}"
                f" -c idle_in_transaction_session_timeout={environment.idle_transaction_timeout_ms}"
                # The yard's one large statement runs in a fifth of a second and would be compiled for as long again.
                " -c jit=off"
                # What is read is in memory or on a disk without a head, where a page by key costs little more than the
                # next one; held for four times as dear, whole tables would be read for a page of units.
                " -c random_page_cost=1.1"
            ),
        },
    }
