"""Calling the database's purge functions, as the role that may. They decide; nothing here deletes by itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connections, transaction
from psycopg import sql

from common.composition import contributed
from fleet.enums import Deleted
from fleet.rules.records.retention import RECORD_KINDS, Retained


@dataclass(frozen=True, slots=True)
class Purgeable:
    """A sort of content and its two functions.

    `due(today, among, at_most)` lists it; `delete(kind, records, today, run, rule, source)` deletes what is listed,
    writes the deletion records in the same transaction, and returns how many.
    """

    due: str
    delete: str


PURGEABLES = (Purgeable("purge_due_history", "purge_history_content"), Purgeable("purge_due_scans", "purge_scans"))
"""All of them, in the order in which they are deleted."""


@dataclass(frozen=True)
class DeletedAlong:
    """What the app's own trigger deletes in the same transaction as the content of such an entry."""

    event: str
    what: Deleted


def deleted_along(event: str) -> Deleted | None:
    """What goes together with the content of such an entry; None where nothing does."""
    return next((part.what for part in contributed(DeletedAlong) if part.event == event), None)


ROLE_OF_ITS_OWN = "purge"


@dataclass(frozen=True, slots=True)
class Due:
    """One record past its days: what of it may go, whose it is, the rule's record kind, and the hash that stays."""

    what: str
    record: UUID
    unit: UUID | None
    unit_name: str
    subject: UUID | None
    event: str
    record_kind: str
    retained_until: date
    content_hash: str


@dataclass(frozen=True, slots=True)
class Undated:
    """An entry from before record kinds, and what it says as stored text."""

    entry: UUID
    event: str
    performed_at: datetime
    recorded_at: datetime
    body: str


def due(purgeable: Purgeable, today: date, at_most: int | None) -> list[Due]:
    """What of one sort may go on a day, those kept longest past their day first.

    All of it when `at_most` is None, as far as 100,000 records that are past their day reach; that may take a while.
    """
    question = sql.SQL("SELECT * FROM {}(%s, NULL, %s)").format(sql.Identifier(purgeable.due))
    with transaction.atomic(using=_alias()):
        if at_most is None:
            _run(sql.SQL("SET LOCAL statement_timeout = '10min'"))
        return [Due(*row) for row in _rows(question, [today, at_most])]


def delete(purgeable: Purgeable, record_kind: str, records: Sequence[UUID], today: date, job: UUID) -> int:
    """Delete of these records what is due and of that record kind; how many there were. One transaction."""
    rule = RECORD_KINDS[record_kind]
    words = f"{rule.months} months from the {rule.counts_from}"
    question = sql.SQL("SELECT {}(%s, %s, %s, %s, %s, %s)").format(sql.Identifier(purgeable.delete))
    ((removed,),) = _rows(question, [record_kind, list(records), today, job, words, rule.source])
    return int(removed)


def undated(at_most: int) -> list[Undated]:
    """Entries that were written before record kinds were."""
    return [Undated(*row) for row in _rows(sql.SQL("SELECT * FROM purge_undated(%s)"), [at_most])]


def set_dates(found: Sequence[tuple[UUID, Retained]]) -> int:
    """Give entries their record kind and day; how many had none."""
    entries = [entry for entry, _ in found]
    kinds, days = [kept.record_kind for _, kept in found], [kept.until for _, kept in found]
    question = sql.SQL("SELECT purge_set_dates(%s::uuid[], %s::text[], %s::date[])")
    ((dated,),) = _rows(question, [entries, kinds, days])
    return int(dated)


def _rows(question: sql.Composable, values: list[Any]) -> list[tuple[Any, ...]]:
    with connections[_alias()].cursor() as cursor:
        cursor.execute(question, values)
        rows: list[tuple[Any, ...]] = cursor.fetchall()
    return rows


def _run(statement: sql.Composable) -> None:
    with connections[_alias()].cursor() as cursor:
        cursor.execute(statement)


def _alias() -> str:
    return ROLE_OF_ITS_OWN if ROLE_OF_ITS_OWN in settings.DATABASES else DEFAULT_DB_ALIAS
