"""The writer of readings of cooling units: each flagged where something about it is odd. A job learns from them."""

from collections.abc import Sequence
from uuid import UUID

from common.canonical import in_utc
from fleet.enums import ReadingSource, ReadingState
from fleet.models import CoolingReading
from fleet.rules.cooling.readings import COLUMNS, TEACHES_NOTHING, Figures, flag_of
from fleet.services.records.unit_of_work import UnitOfWork

BATCH = 1000


def store_readings(work: UnitOfWork, rows: Sequence[CoolingReading]) -> None:
    """Insert readings of locked units, and note them in each unit's history as one entry."""
    CoolingReading.objects.bulk_create(rows, batch_size=BATCH)
    for unit in dict.fromkeys(row.unit_id for row in rows):
        of_unit = [row for row in rows if row.unit_id == unit]
        instants = [row.read_at for row in of_unit]
        body = {
            "count": len(of_unit),
            "source": of_unit[0].source,
            "first": in_utc(min(instants)),
            "last": in_utc(max(instants)),
        }
        work.record(unit, "cooling_readings_recorded", subject=None, performed_at=max(instants), body=body)


def reading_row(unit_id: UUID, figures: Figures, source: ReadingSource, work: UnitOfWork) -> CoolingReading:
    """The unsaved row of a reading, flagged where something about it is odd."""
    flag = flag_of(figures, work.now)
    said = {name: getattr(figures, name) for name in COLUMNS[1:]}
    return CoolingReading(
        unit_id=unit_id,
        read_at=figures.at,
        source=source,
        **{**said, "alarms": list(figures.alarms)},
        state=ReadingState.SET_ASIDE if flag in TEACHES_NOTHING else ReadingState.ACCEPTED,
        flag=flag or "",
        is_learned=flag in TEACHES_NOTHING,
        recorded_at=work.now,
        recorded_by=work.actor,
    )
