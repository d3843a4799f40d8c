"""What the doctor says of histories written since yesterday, each damaged in one way."""

from uuid import UUID

import pytest
from django.db import connection

from common import clock
from fleet.management.doctor.histories import examine_last_day
from fleet.models import Unit
from tests.factories.fleet import make_bare_unit, write_entries

OF_THE_THIRD = "FROM fleet_historyentry AS entry WHERE entry_id = entry.id AND unit_id = %s AND sequence = 3"
pytestmark = pytest.mark.django_db


@pytest.fixture
def unit() -> Unit:
    made = make_bare_unit()
    write_entries(made, 4, at=clock.now())
    write_entries(made, 2, at=clock.now())
    write_entries(make_bare_unit("LR-47"), 2, at=clock.now())
    return made


def tamper(statement: str, *values: UUID) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # a table with events pending cannot be altered
        for table in ("fleet_historyentry", "fleet_historycontent"):
            cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        cursor.execute(statement, values)
        assert cursor.rowcount == 1


def test_histories_as_written__nothing_is_wrong(unit: Unit) -> None:
    assert list(examine_last_day(clock.now())) == []


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE fleet_historyentry SET kind = 'hold_lifted' WHERE unit_id = %s AND sequence = 2",
        "UPDATE fleet_historyentry SET entry_hash = content_hash WHERE unit_id = %s AND sequence = 6",
        f"UPDATE fleet_historycontent SET body = '{{}}' {OF_THE_THIRD}",  # noqa: S608 - nobody's words
        "UPDATE fleet_unitchain SET sequence = 5 WHERE unit_id = %s",
        "UPDATE fleet_unitchain SET head = decode(repeat('00', 32), 'hex') WHERE unit_id = %s",
    ],
)
def test_history_was_changed__the_unit_is_named(unit: Unit, statement: str) -> None:
    tamper(statement, unit.pk)
    (only,) = examine_last_day(clock.now())
    assert only.wrong == f"the histories of 1 units are not as they were written, the first {unit.pk}"


def test_more_than_is_looked_at__the_newest_are(unit: Unit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fleet.management.doctor.histories.MOST", 3)
    tamper("UPDATE fleet_historyentry SET kind = 'x' WHERE unit_id = %s AND sequence = 1", unit.pk)
    assert list(examine_last_day(clock.now())) == []
