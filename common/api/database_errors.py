"""What an error of the database means to a caller: a refusal, try again, or nothing anyone foresaw."""

import logging
from functools import cache

from django.db import (
    IntegrityError,
    InterfaceError,
    InternalError,
    NotSupportedError,
    OperationalError,
    ProgrammingError,
    connection,
)

from common.composition import contributed, indexed
from common.errors import Conflict, Unavailable
from common.messages import Sentences


def constraint_code(name: str) -> str | None:
    """Return the code of a constraint, None for one that no app names."""
    return _codes(contributed(Sentences)).get(name)


@cache
def _codes(apps: tuple[Sentences, ...]) -> dict[str, str]:
    return indexed(pair for app in apps for pair in app.constraints.items())


logger = logging.getLogger(__name__)

_TAKEN = frozenset({"23505", "23P01"})
"""unique_violation, exclusion_violation."""

_BUSY = frozenset({"57014", "55P03", "40001", "40P01", "25P03"})
"""query_canceled (statement timeout), lock_not_available, serialization_failure, deadlock_detected,
idle_in_transaction_session_timeout (an answer that took too long between two statements)."""

_OF_ANOTHER_RELEASE = frozenset({"42703", "42P01"})
"""undefined_column, undefined_table: this process is newer than the database, as in the middle of an upgrade."""

_STATEMENT_OUTLIVED = "cached plan must not change result type"
"""What the server says, in English, of a prepared statement whose columns have other types since."""

RETRY_AFTER_BUSY_S = 1
RETRY_AFTER_LOST_S = 5
RETRY_AFTER_REFUSED_S = 60


def integrity_refusal(error: IntegrityError) -> Conflict | Unavailable:
    """Conflict for a broken constraint that an app registered, or for any row in the way.

    Any other is a bug of ours: written to the log, and Unavailable to the caller, so that a phone keeps what it has.
    """
    name = getattr(getattr(error.__cause__, "diag", None), "constraint_name", None)
    code = constraint_code(name) if isinstance(name, str) else None
    if code is not None:
        return Conflict(code)
    logger.error("constraint %s is broken and stands for no code", name, exc_info=error)
    if _sqlstate(error) in _TAKEN:
        return Conflict("row_in_the_way")
    return Unavailable("not_stored", retry_after=RETRY_AFTER_REFUSED_S)


def lost_database_refusal(error: BaseException) -> Unavailable | None:
    """Unavailable for a lost or overloaded database, or one that lacks what this release brings, else None."""
    if isinstance(error, ProgrammingError) and _sqlstate(error) in _OF_ANOTHER_RELEASE:
        logger.error("the database lacks what this release reads: %s", error, exc_info=error)
        return Unavailable("service_unreachable", retry_after=RETRY_AFTER_REFUSED_S)
    if isinstance(error, NotSupportedError) and _STATEMENT_OUTLIVED in str(error):
        logger.warning("a migration has changed what this connection had prepared; it is opened anew")
        connection.close()
        return Unavailable("database_busy", retry_after=RETRY_AFTER_BUSY_S)
    if not isinstance(error, OperationalError | InterfaceError | InternalError):
        return None
    state = _sqlstate(error)
    if isinstance(error, InternalError) and state not in _BUSY:
        return None
    logger.error("database error %s: %s", state, error)
    if state in _BUSY:
        return Unavailable("database_busy", retry_after=RETRY_AFTER_BUSY_S)
    return Unavailable("database_unavailable", retry_after=RETRY_AFTER_LOST_S)


def _sqlstate(error: Exception) -> str | None:
    state = getattr(error.__cause__, "sqlstate", None)
    return state if isinstance(state, str) else None
