"""Readings of cooling units, from a phone, a recorder or a desk: each taken once, in whatever order they come."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from uuid import UUID

from common.clock import refuse_future
from common.errors import FieldProblem, Invalid
from fleet.enums import AlarmClass, ReadingSource, TemperatureScale, UnitKind
from fleet.models import CoolingReading, Person
from fleet.rules.cooling.readings import Figures, Implausible, implausible
from fleet.rules.cooling.temperatures import to_celsius
from fleet.selectors.cooling.series import figures_of
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.services.cooling.readings import reading_row, store_readings
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work

TENTH = Decimal("0.1")
MOST_IN_A_REQUEST = 1000
"""Our own: a day of readings every minute and a half; a recorder sends the next thousand in the next request."""


@dataclass(slots=True)
class Taken:
    """What became of the readings of one request: new rows, and the positions of those that were not taken.

    `on_record` say what is on record already; `differing` say something else of a time that is, and leave it as it is.
    """

    rows: list[CoolingReading] = field(default_factory=list)
    on_record: list[int] = field(default_factory=list)
    differing: list[int] = field(default_factory=list)


def record_cooling_readings(
    *, unit_id: UUID, given: Sequence[Figures], source: ReadingSource, actor: Person, now: datetime
) -> Taken:
    """Take readings of one unit; a job learns from them.

    What cannot be is refused from a desk (Invalid `figure_implausible` with the range, `instant_in_future`,
    `alarm_class_unknown`), and kept and flagged from elsewhere. Invalid `not_a_cooling_unit`, Conflict `unit_retired`.
    """
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        unit = get_unit(unit_id)
        refuse_retired(unit)
        if unit.kind != UnitKind.COOLING_UNIT:
            raise Invalid("not_a_cooling_unit", unit=str(unit))
        if source is ReadingSource.DESK:
            _refuse_odd(given, now)
        taken = _sort_out(unit_id, given, source, work)
        store_readings(work, taken.rows)
        return taken


def _sort_out(unit_id: UUID, given: Sequence[Figures], source: ReadingSource, work: UnitOfWork) -> Taken:
    """Make unsaved rows of the readings that are not on record for a locked unit."""
    instants = [each.at for each in given]
    stored = CoolingReading.objects.filter(unit_id=unit_id, source=source, read_at__in=instants)
    known = {row.read_at: figures_of(row) for row in stored}
    taken = Taken()
    for position, figures in enumerate(given):
        before = known.get(figures.at)
        if before is not None:
            (taken.on_record if before.says_the_same_as(figures) else taken.differing).append(position)
            continue
        known[figures.at] = figures
        taken.rows.append(reading_row(unit_id, figures, source, work))
    return taken


def _refuse_odd(given: Sequence[Figures], now: datetime) -> None:
    problems = []
    for position, figures in enumerate(given):
        refuse_future(figures.at, now, f"/readings/{position}/read_at")
        problems += problems_of(figures, now, f"/readings/{position}")
    if problems:
        raise Invalid("invalid", problems=problems)


def problems_of(figures: Figures, now: datetime, place: str = "") -> list[FieldProblem]:
    """Everything that is odd about a reading, by its fields, as a desk that typed it would be told."""
    problems = [FieldProblem(f"{place}/read_at", "instant_in_future")] if figures.at > now else []
    problems += [_out_of_range(odd, figures, place) for odd in implausible(figures)]
    if not set(figures.alarms) <= set(AlarmClass):
        problems.append(FieldProblem(f"{place}/alarms", "alarm_class_unknown", {"allowed": list(AlarmClass)}))
    return problems


def _out_of_range(odd: Implausible, figures: Figures, place: str) -> FieldProblem:
    """The refusal of a figure, with its range in the scale that it was given in, to the tenth."""
    least, most = odd.least, odd.most
    if odd.name.endswith("_f") and figures.given_in == TemperatureScale.CELSIUS:
        least = to_celsius(least).quantize(TENTH, ROUND_CEILING)
        most = to_celsius(most).quantize(TENTH, ROUND_FLOOR)
    return FieldProblem(f"{place}/{odd.name.removesuffix('_f')}", "figure_implausible", {"least": least, "most": most})
