"""The readings that a cooling unit's forecast is learned from, and those over a stretch of time."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import QuerySet

from fleet.enums import ReadingState
from fleet.models import CoolingReading
from fleet.rules.cooling.readings import COLUMNS, Figures

LEARNED_FROM = timedelta(days=180)
MOST_READINGS = 5000
"""Our own: half a year tells a trend, and so many readings are read in a tenth of a second."""

_STORED = ("read_at", *COLUMNS[1:])


def learned_from(unit: UUID, *, now: datetime) -> list[Figures]:
    """The newest readings of a unit that are not set aside, oldest first."""
    newest = _accepted(unit).filter(read_at__gte=now - LEARNED_FROM).order_by("-read_at", "-pk")
    return _figures(newest[:MOST_READINGS])


def readings_between(unit: UUID, since: datetime, until: datetime) -> list[Figures]:
    """The readings of a unit from one instant to another, both included, oldest first; the newest of very many."""
    within = _accepted(unit).filter(read_at__gte=since, read_at__lte=until).order_by("-read_at", "-pk")
    return _figures(within[:MOST_READINGS])


def figures_of(row: CoolingReading) -> Figures:
    """What a stored reading says."""
    return _of([getattr(row, name) for name in _STORED])


def _accepted(unit: UUID) -> QuerySet[CoolingReading]:
    return CoolingReading.objects.filter(unit_id=unit, state=ReadingState.ACCEPTED)


def _figures(rows: QuerySet[CoolingReading]) -> list[Figures]:
    return [_of(row) for row in reversed(rows.values_list(*_STORED))]


def _of(values: list[object] | tuple[object, ...]) -> Figures:
    given = dict(zip(COLUMNS, values, strict=True))
    alarms = given.pop("alarms")
    return Figures(alarms=tuple(alarms), **given)  # type: ignore[arg-type]  # the columns' own types
