"""An answer rests on one snapshot: facts that change together are never seen half changed, however busy the writer."""

import datetime as dt
from collections.abc import Iterable
from threading import Event, Thread
from typing import Any
from uuid import UUID

import pytest
from django.db import connections, transaction

from defects.selectors.clearance import trips
from defects.selectors.clearance.fact_row import FactRow
from defects.selectors.clearance.snapshot import fact_rows
from fleet.models import Document
from tests.support.committing import CommittingDatabase
from tests.support.dock import Dock, codes, make_dock

pytestmark = [pytest.mark.timeout(120), pytest.mark.long]

OVER, RUNNING = dt.date(2026, 3, 5), dt.date(2026, 6, 30)
CLEARANCE_REQUESTS = 60


@pytest.fixture
def dock(committing_db: CommittingDatabase) -> Dock:
    """In every committed state exactly one of the two registrations has run out."""
    dock = make_dock()
    swap(dock, tractor_over=True)
    return dock


def swap(dock: Dock, *, tractor_over: bool) -> None:
    with transaction.atomic():
        for unit, over in ((dock.tractor, tractor_over), (dock.trailer, not tractor_over)):
            documents = Document.objects.filter(unit=unit, kind="registration")
            documents.update(starts_on=dt.date(2025, 1, 1), ends_on=OVER if over else RUNNING)


def test_writer_that_never_rests__every_answer_has_the_one_document_that_ran_out(dock: Dock) -> None:
    stop, swaps = Event(), 0

    def write() -> None:
        nonlocal swaps
        try:
            while not stop.is_set():
                swap(dock, tractor_over=bool(swaps % 2))
                swaps += 1
        finally:
            connections.close_all()

    writer = Thread(target=write)
    writer.start()
    try:
        seen = [dock.ask() for _ in range(CLEARANCE_REQUESTS)]
    finally:
        stop.set()
        writer.join()
    assert [codes(asked) for asked in seen] == [["document_expired"]] * CLEARANCE_REQUESTS
    assert {asked.reasons[0]["unit"] for asked in seen} == {"NL-13", "LR-46"}
    assert swaps > CLEARANCE_REQUESTS


def test_facts_read_in_two_statements__see_a_state_that_never_was(dock: Dock, monkeypatch: pytest.MonkeyPatch) -> None:
    """The negative control: one unit's facts before the writer's commit, the others' after it."""

    def in_two(units: Iterable[UUID], **asked: Any) -> list[FactRow]:
        keys = list(units)
        before = [row for row in fact_rows(keys, **asked) if row.unit != dock.trailer.pk]
        swap(dock, tractor_over=False)
        return before + [row for row in fact_rows(keys, **asked) if row.unit == dock.trailer.pk]

    monkeypatch.setattr(trips, "fact_rows", in_two)
    assert codes(dock.ask()) == ["document_expired", "document_expired"]
