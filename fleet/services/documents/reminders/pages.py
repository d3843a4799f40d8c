"""Owing reminders page by page, one statement each: papers by their end day, qualifications, what is lacking."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import connection

from fleet.enums import NoticeKind
from fleet.rules.documents.qualified import PREFIX
from fleet.selectors.documents.status import PaperDay
from fleet.services.documents.reminders.missing import carrier_lacks, needs_in_force, unit_columns
from fleet.services.documents.reminders.recipients import NO_SITE, compliance_by_site
from fleet.services.documents.reminders.statements import MISSING, PAPERS, QUALIFICATIONS
from fleet.services.documents.reminders.steps import Chunk, in_chunks, rungs_of, rungs_of_qualifications
from fleet.services.documents.reminders.wording import rung_facts

FIRST = UUID(int=0)


@dataclass(frozen=True, slots=True)
class Place:
    """After which paper, by end day and key, or after which unit once all papers are done (no day)."""

    day: date | None = date.min
    key: UUID = FIRST


@dataclass(frozen=True, slots=True)
class Page:
    """What one page newly owed, over how many papers or units, and the last of them."""

    owed: int
    looked_at: int
    place: Place


def pages(day: PaperDay, begin: Place, *, now: datetime, size: int) -> Iterator[Page]:
    """Every page from a place on, the longest overdue papers first; one is owed by the time it is yielded."""
    told = compliance_by_site(now=now)
    common: dict[str, Any] = {
        "kind": NoticeKind.DOCUMENT_ENDING.value,
        "now": now,
        "size": size,
        "sites": told.sites,
        "people": told.people,
        "no_site": NO_SITE,
    }
    needs = needs_in_force(now=now)
    if begin.day is not None:
        for chunk in in_chunks(rungs_of(day), size):
            if chunk.last >= begin.day:
                yield from _papers(chunk, begin, common)
        owed, looked_at = _qualifications(Chunk(list(rungs_of_qualifications(day))), common)
        yield Page(owed + carrier_lacks(needs, day, now=now), looked_at, Place(None))
    yield from _units(unit_columns(needs, day), FIRST if begin.day is not None else begin.key, common)


def _papers(chunk: Chunk, begin: Place, common: Mapping[str, Any]) -> Iterator[Page]:
    given = {**common, **_rungs(chunk)}
    after: Place | None = begin
    while after is not None:
        row = _run(PAPERS, {**given, "after_day": after.day, "after_id": after.key})
        if row is None:
            return
        owed, looked_at, last_day, last = row
        place = Place(last_day, last)
        yield Page(owed, looked_at, place)
        after = place if looked_at == common["size"] else None


def _qualifications(chunk: Chunk, common: Mapping[str, Any]) -> tuple[int, int]:
    """How many notices, over how many: people have few, so that one statement takes them all."""
    row = _run(QUALIFICATIONS, {**common, **_rungs(chunk), "qualification": PREFIX}) if chunk.rungs else None
    return (0, 0) if row is None else (row[0], row[1])


def _rungs(chunk: Chunk) -> dict[str, Any]:
    """A chunk as columns for the statement."""
    return {
        "kinds": [rung.kind.name for rung in chunk.rungs],
        "programs": [rung.program for rung in chunk.rungs],
        "ends": [rung.ends_on for rung in chunk.rungs],
        "months": [rung.ends_on_month for rung in chunk.rungs],
        "steps": [rung.reminder.step for rung in chunk.rungs],
        "codes": [rung.reminder.code for rung in chunk.rungs],
        "facts": [rung_facts(rung.kind, rung.reminder) for rung in chunk.rungs],
        "first": chunk.first,
        "last": chunk.last,
    }


def _units(columns: Mapping[str, Any], begin: UUID, common: Mapping[str, Any]) -> Iterator[Page]:
    after: UUID | None = begin
    while after is not None:
        row = _run(MISSING, {**common, **columns, "after_id": after})
        if row is None:
            return
        owed, looked_at, last = row
        yield Page(owed, looked_at, Place(None, last))
        after = last if looked_at == common["size"] else None


def _run(statement: str, given: Mapping[str, Any]) -> tuple[Any, ...] | None:
    with connection.cursor() as cursor:
        cursor.execute(statement, given)
        row: tuple[Any, ...] | None = cursor.fetchone()
    return row
