"""What a walk-around read off a cooling unit, as a reading of it like those of phones and recorders."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from defects.models import Report, Walkaround
from defects.rules.walkarounds.assess import Assessment
from fleet.enums import AlarmClass, MeterKind, ReadingSource, ReadingState
from fleet.models import MeterReading
from fleet.rules.cooling.readings import Figures
from fleet.services.cooling.readings import sort_out, store_readings
from fleet.services.records.unit_of_work import UnitOfWork

FIGURES: Mapping[str, str] = {
    "cooling.setpoint": "setpoint_f",
    "cooling.return-air": "return_air_f",
    "cooling.fuel.level": "fuel_gal",
}
"""The points whose values are figures of a reading."""
ALARMS = "cooling.alarms"
HOURS: Mapping[str, str] = {MeterKind.ENGINE_H: "engine_h", MeterKind.STANDBY_H: "standby_h"}


def store_cooling_readings(
    walkaround: Walkaround, assessed: Iterable[tuple[Report, Assessment]], work: UnitOfWork, **_: Any
) -> None:
    """Store one reading for each cooling unit of which the walk-around gives a figure; none before its time is known.

    A value enters as it enters its series of measurements: not where it was flagged.
    """
    for report, assessment in assessed:
        said = figures_of_walk(assessment)
        if report.unit_id is None or not said:
            continue
        hours = MeterReading.objects.filter(
            walkaround_id=walkaround.pk, unit_id=report.unit_id, meter__in=HOURS, state=ReadingState.ACCEPTED
        )
        said |= {HOURS[meter]: shown for meter, shown in hours.values_list("meter", "shown")}
        figures = Figures(at=walkaround.performed_at, **said)
        taken = sort_out(report.unit_id, [figures], ReadingSource.WALK, work)
        for row in taken.rows:
            row.walkaround_id = walkaround.pk
        store_readings(work, taken.rows)


def figures_of_walk(assessment: Assessment) -> dict[str, Any]:
    """The figures of a reading among the checks of a cooling unit, and the classes of its open alarms."""
    said: dict[str, Decimal | tuple[str, ...] | None] = {
        FIGURES[verdict.check.point]: verdict.accepted_value
        for verdict in assessment.judged
        if verdict.check.point in FIGURES and verdict.accepted_value is not None
    }
    if said:
        found = (verdict.check.finding for verdict in assessment.findings if verdict.check.point == ALARMS)
        said["alarms"] = tuple(sorted(set(found) & set(AlarmClass)))
    return said
