"""How a row outside the units' histories is edited: locked, compared by version, what is given saved, and logged."""

import logging
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Manager, Model, QuerySet

from common.errors import NotFound
from common.versions import require_version
from fleet.models import Carrier, Person, Site

logger = logging.getLogger(__name__)

R = TypeVar("R", bound=Model)
E = TypeVar("E", Carrier, Person, Site)


def lock_row(rows: QuerySet[R], key: UUID, unknown: str) -> R:
    """Return one row, locked until the transaction ends; NotFound `unknown` when it is not among `rows`."""
    row = rows.select_for_update(no_key=True, of=("self",)).filter(pk=key).first()
    if row is None:
        raise NotFound(unknown)
    return row


def edit_row(row: E, version: int | None, changes: Mapping[str, object], actor: Person) -> E:
    """Save changes of a locked row as its next version, where there are any; PreconditionFailed `version_changed`.

    `version` is None for a caller whose version can never match.
    """
    require_version(row, version)
    changed = {name: value for name, value in changes.items() if getattr(row, name) != value}
    if changed:
        edit_rows([(row, changed)], actor=actor)
    return row


def edit_rows(edits: Sequence[tuple[E, Mapping[str, object]]], *, actor: Person) -> None:
    """Save changes of locked rows of one table, each as its next version, in one statement."""
    for row, changes in edits:
        row.version += 1
        for name, value in changes.items():
            setattr(row, name, value)
        log_change(row, "edited", actor, changes)
    columns: set[str] = {name for _, changes in edits for name in changes}
    table: Manager[Any] = type(edits[0][0])._default_manager  # noqa: SLF001 - Django's documented way to a manager
    table.bulk_update([row for row, _ in edits], [*sorted(columns), "version"])


def log_change(row: Model, what: str, actor: Person, names: Mapping[str, object] | None = None) -> None:
    """Say in the log who changed which columns of what; never their values, which may be personal."""
    table, columns = row._meta.label_lower, ", ".join(sorted(names or ()))  # noqa: SLF001 - Django's documented model API
    logger.info("%s %s %s by %s %s", table, row.pk, what, actor.pk, columns)
