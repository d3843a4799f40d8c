"""One job over everything that is past its days of keeping. Whether a record may go is the database's decision."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import groupby
from operator import attrgetter
from uuid import UUID

from common.clock import day_in_zone
from common.ids import uuid7
from fleet.rules.records.retention import Happened
from fleet.selectors.carrier.carrier import carriers_zone
from fleet.selectors.records.retention import retention_of
from fleet.services.records.purging import functions
from fleet.services.records.purging.files import remove_files
from fleet.services.records.purging.functions import PURGEABLES, Due, Purgeable
from fleet.services.records.purging.scans import date_scans

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
    """What a job would delete now, deleting nothing; days of keeping that are missing are filled in."""
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
