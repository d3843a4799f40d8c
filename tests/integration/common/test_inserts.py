"""Rows inserted by one statement stand as if each had been saved."""

from datetime import date

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from common.compiled import insert
from common.ids import uuid7
from fleet.enums import ReadingSource, UnitKind
from fleet.models import CoolingReading, HistoryContent, HistoryEntry, Restore
from tests.factories.fleet import HOUR, NOON, CoolingReadingFactory, make_bare_unit, make_unit


def entry(number: str = "LR-46") -> HistoryEntry:
    hashes = {name: bytes(range(256))[:32] for name in ("content_hash", "previous_hash", "entry_hash")}
    return HistoryEntry(
        unit=make_bare_unit(number), sequence=9, kind="told", performed_at=NOON, recorded_at=NOON, **hashes
    )


def test_rows_of_several_tables__stand_as_given_after_one_statement(db: None) -> None:
    first, second = entry("LR-46"), entry("LR-47")
    content = HistoryContent(
        entry=first, salt=b"\\\x00'\xff", body='{"é": "\\u0000"}', retained_until=date(2027, 1, 31)
    )
    restore = Restore(backed_up_at=NOON, restored_at=NOON, restored_by="Øystein \\ 'X'", lengths={"a": [1, None, "ü"]})

    with CaptureQueriesContext(connection) as captured:
        insert([first, content, second, restore])

    assert len(captured) == 1
    for row in (first, second, content, restore):
        stored = type(row)._default_manager.get(pk=row.pk)
        for field in row._meta.concrete_fields:
            given, kept = getattr(row, field.attname), getattr(stored, field.attname)
            assert (bytes(kept) if isinstance(given, bytes) else kept) == given, field.name
        assert not row._state.adding


def test_row_that_is_there_already__is_refused_and_nothing_is_stored(db: None) -> None:
    known, new = entry(), entry("LR-47")
    insert([known])

    with pytest.raises(IntegrityError), transaction.atomic():
        insert([new, known])

    assert not HistoryEntry.objects.filter(pk=new.pk).exists()


def test_row_of_a_table_kept_once__is_left_out_where_it_is_on_record_already(db: None) -> None:
    unit = make_unit(UnitKind.COOLING_UNIT, "CU-41")
    known = CoolingReadingFactory.create(unit=unit, read_at=NOON, fuel_gal=30, source=ReadingSource.WALK)
    said = {field.attname: getattr(known, field.attname) for field in CoolingReading._meta.concrete_fields}
    twice, new = (CoolingReading(**{**said, "id": uuid7(), "read_at": at}) for at in (NOON, NOON + HOUR))

    insert([twice, new])

    assert list(CoolingReading.objects.order_by("read_at")) == [known, new]


def test_no_rows__no_statement(db: None) -> None:
    with CaptureQueriesContext(connection) as captured:
        insert([])
    assert len(captured) == 0
