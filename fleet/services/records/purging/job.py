"""One job over everything that is past its retention. Whether a record may go is the database's decision."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import groupby
from operator import attrgetter
from uuid import UUID

from django.db.models import Q

from common.clock import day_in_zone
from common.ids import uuid7
from fleet.models import Document
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.records.retention import RECORD_KINDS, Happened, retained_until
from fleet.selectors.carrier.carrier import carriers_zone
from fleet.selectors.records.retention import retention_of
from fleet.services.records.purging import functions
from fleet.services.records.purging.files import remove_files
from fleet.services.records.purging.functions import PURGEABLES, Due, Purgeable

SCANS_AT_MOST = 5_000


def date_scans(*, zone: str) -> int:
    """Give replaced documents with a scan their last day of keeping it, as far as it is known by now; how many.

    A replaced document never changes again; only the end of a person's work may still be open, and is asked for again.
    """
    undated = Document.objects.filter(superseded_at__isnull=False, file__isnull=False, scan_retained_until__isnull=True)
    open_ends = Q(person__isnull=False, person__left_on__isnull=True)
    dated = []
    for document in undated.exclude(open_ends).select_related("person").order_by("pk")[:SCANS_AT_MOST]:
        kind = load_document_kinds().get(document.kind)
        if kind is None:
            continue
        document.scan_record_kind = kind.keep
        document.scan_retained_until = retained_until(kind.keep, _counted_from(kind.keep, document, zone)).until
        dated.append(document)
    Document.objects.bulk_update(dated, ["scan_record_kind", "scan_retained_until"], batch_size=500)
    return len(dated)


def _counted_from(record_kind: str, document: Document, zone: str) -> date | None:
    """An inspection report counts from its date; a document from its end or from its replacing, whichever is later.

    What is kept for a person's work counts from its end as well, which is known once the person has left.
    """
    superseded = day_in_zone(document.superseded_at, zone) if document.superseded_at else None
    left = None if document.person is None else document.person.left_on
    if record_kind == "periodic_inspection_report":
        days = [document.issued_on, document.starts_on]
    elif RECORD_KINDS[record_kind].until_over:
        days = [left]
    else:
        days = [document.ends_on, superseded, left]
    return max(filter(None, days), default=superseded)


BATCH = 500
AT_MOST = 10_000
"""Of each sort in one job, so that it ends well within a task's time; the next one goes on."""


@dataclass(frozen=True)
class Purged:
    """The job's key, which its deletion records carry, how many records it deleted, and how many files it removed."""

    run: UUID
    records: int
    files: int


def purge_records(*, now: datetime, stop: Callable[[], bool] = lambda: False) -> Purged:
    """Delete what is past its days, batch by batch; safe to run twice at once, and to be broken off anywhere.

    Each batch deletes and writes its deletion records in one transaction. A unit that is just being written about, or
    frozen, is left for the next job.
    """
    zone, job = carriers_zone(), uuid7()
    date_undated(zone=zone, stop=stop)
    date_scans(zone=zone)
    today = _today(now, zone)
    records = sum(_purge(purgeable, today, job, stop) for purgeable in PURGEABLES)
    return Purged(job, records, remove_files(now=now))


def due_records(*, now: datetime) -> Iterator[Due]:
    """What a job would delete now, deleting nothing; retentions that are missing are filled in."""
    zone = carriers_zone()
    date_undated(zone=zone)
    date_scans(zone=zone)
    for purgeable in PURGEABLES:
        yield from functions.due(purgeable, _today(now, zone), None)


def date_undated(*, zone: str, stop: Callable[[], bool] = lambda: False) -> int:
    """Give every entry from before record kinds its kind and its last day of keeping; how many there were."""
    dated = 0
    while (found := functions.undated(BATCH)) and not stop():
        dated += functions.set_dates(
            [
                (
                    row.entry,
                    retention_of(
                        row.event, Happened(_day(row.performed_at, row.recorded_at, zone), json.loads(row.body))
                    ),
                )
                for row in found
            ]
        )
    return dated


def _purge(purgeable: Purgeable, today: date, job: UUID, stop: Callable[[], bool]) -> int:
    deleted = 0
    while deleted < AT_MOST and not stop():
        found = functions.due(purgeable, today, min(BATCH, AT_MOST - deleted))
        by_kind = groupby(sorted(found, key=attrgetter("record_kind")), key=attrgetter("record_kind"))
        gone = sum(
            functions.delete(purgeable, kind, [row.record for row in rows], today, job) for kind, rows in by_kind
        )
        if not gone:
            break
        deleted += gone
    return deleted


def _today(now: datetime, zone: str) -> date:
    """The carrier's day, but none that has not begun where the database counts: it refuses to run ahead."""
    return min(day_in_zone(now, zone), day_in_zone(now, UTC))


def _day(performed_at: datetime, recorded_at: datetime, zone: str) -> date:
    return day_in_zone(max(performed_at, recorded_at), zone)
