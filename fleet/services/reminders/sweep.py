"""The sweep over papers: page by page, each committed by itself, until all is owed or its time is up.

Nothing is remembered between runs: what is owed already is refused by its key, so that a run cut off, a beat lost for
days or several sweeps at once come to the same rows.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection

from common.errors import NotFound
from fleet.enums import NoticeKind
from fleet.selectors.documents import PaperDay, paper_day
from fleet.services.reminders.audience import NO_SITE, Told, compliance_by_site
from fleet.services.reminders.missing import carrier_lacks, needs_in_force, unit_columns
from fleet.services.reminders.rungs import Chunk, in_chunks, rungs_of
from fleet.services.reminders.statements import MISSING, PAPERS
from fleet.services.reminders.wording import rung_facts

PAGE = 5_000
"""Papers in one statement, which must end well within the statement timeout."""

RUN_FOR = timedelta(seconds=30)
"""A run stops after this and leaves the rest to the next one: tasks are ended after a minute."""

Clock = Callable[[], datetime]


@dataclass
class Reminded:
    """How many notices one run newly owed, over how many papers and units, and whether it came to the end."""

    owed: int = 0
    looked_at: int = 0
    whole: bool = True


def remind_of_papers(*, clock: Clock, stop: Callable[[], bool] = lambda: False, page: int = PAGE) -> Reminded:
    """Owe the newest step of every standing paper whose day has come, and weekly what units and the carrier lack.

    Until half a minute has passed or `stop` says so. Papers of retired units and of people who left owe nothing.
    Before the carrier is recorded there is nothing to do.
    """
    begun = clock()
    done = Reminded()
    try:
        day = paper_day(now=begun)
    except NotFound:
        return done
    told = compliance_by_site(now=begun)
    for owed, looked_at in _steps(day, told, begun, page):
        done.owed += owed
        done.looked_at += looked_at
        if stop() or clock() - begun >= RUN_FOR:
            done.whole = False
            break
    return done


def _steps(day: PaperDay, told: Told, now: datetime, page: int) -> Iterator[tuple[int, int]]:
    """Owed and looked at, page by page, the longest overdue first."""
    common: dict[str, Any] = {
        "kind": NoticeKind.DOCUMENT_ENDING.value,
        "now": now,
        "size": page,
        "sites": told.sites,
        "people": told.people,
        "no_site": NO_SITE,
    }
    for chunk in in_chunks(list(rungs_of(day)), page):
        yield from _chunk(chunk, common, page)
    needs = needs_in_force(now=now)
    yield carrier_lacks(needs, day, now=now), 0
    yield from _units(unit_columns(needs, day), common, page)


def _chunk(chunk: Chunk, common: Mapping[str, Any], page: int) -> Iterator[tuple[int, int]]:
    columns = {
        "kinds": [rung.kind for rung in chunk.rungs],
        "programs": [rung.program for rung in chunk.rungs],
        "ends": [rung.ends_on for rung in chunk.rungs],
        "months": [rung.ends_on_month for rung in chunk.rungs],
        "steps": [rung.reminder.step for rung in chunk.rungs],
        "codes": [rung.reminder.code for rung in chunk.rungs],
        "facts": [rung_facts(rung) for rung in chunk.rungs],
    }
    after: tuple[date, UUID] | None = (chunk.first, NO_SITE)
    while after is not None:
        given = {**common, **columns, "first": chunk.first, "last": chunk.last}
        row = _run(PAPERS, {**given, "after_day": after[0], "after_id": after[1]})
        if row is None:
            return
        owed, looked_at, last_day, last = row
        yield owed, looked_at
        after = (last_day, last) if looked_at == page else None


def _units(columns: Mapping[str, Any], common: Mapping[str, Any], page: int) -> Iterator[tuple[int, int]]:
    after: UUID | None = NO_SITE
    while after is not None:
        row = _run(MISSING, {**common, **columns, "after_id": after})
        if row is None:
            return
        owed, looked_at, last = row
        yield owed, looked_at
        after = last if looked_at == page else None


def _run(statement: str, given: Mapping[str, Any]) -> tuple[Any, ...] | None:
    with connection.cursor() as cursor:
        cursor.execute(statement, given)
        row: tuple[Any, ...] | None = cursor.fetchone()
    return row
