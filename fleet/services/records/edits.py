"""How a row outside the units' histories is edited: locked, compared by version, what is given saved, and logged."""

import logging
from collections.abc import Mapping
from typing import TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet

from common.errors import NotFound
from fleet.models import Carrier, Person, Site
from fleet.services.records.versions import begin_edit

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
    """Save changes of a locked row as its next version; PreconditionFailed `version_changed`."""
    begin_edit(row, version)
    for name, value in changes.items():
        setattr(row, name, value)
    row.save(update_fields=[*changes, "version"])
    log_change(row, "edited", actor, changes)
    return row


def log_change(row: Model, what: str, actor: Person, names: Mapping[str, object] | None = None) -> None:
    """Say in the log who changed which columns of what; never their values, which may be personal."""
    table, columns = row._meta.label_lower, ", ".join(sorted(names or ()))  # noqa: SLF001 - Django's documented model API
    logger.info("%s %s %s by %s %s", table, row.pk, what, actor.pk, columns)
