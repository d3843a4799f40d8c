"""What is read off: measurements at a point and place, and what shows a repair; a walk's readings of cooling units."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from common.errors import Invalid
from common.measures import number
from common.messages import Message
from defects.models import Defect, Measurement, Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.certificates import Fault, must_be_measured, remeasure
from defects.rules.walkarounds.assess import Assessment
from defects.selectors.catalogue.catalogue import facts_of_units
from fleet.enums import AlarmClass, MeterKind, ReadingSource, ReadingState
from fleet.models import CoolingReading, MeterReading
from fleet.rules.cooling.readings import Figures
from fleet.services.cooling.readings import reading_row
from fleet.services.records.unit_of_work import UnitOfWork

FIGURES: Mapping[str, str] = {
    "cooling.setpoint": "setpoint_f",
    "cooling.return-air": "return_air_f",
    "cooling.fuel.level": "fuel_gal",
}
"""The points whose values are figures of a reading."""
ALARMS = "cooling.alarms"
HOURS: Mapping[str, str] = {MeterKind.ENGINE_H: "engine_h", MeterKind.STANDBY_H: "standby_h"}


@dataclass(frozen=True)
class Measured:
    """One value as it was read off, with its unit of measure."""

    value: Decimal
    unit_of_measure: str
    measured_at: datetime


def is_measured(defect: Defect, catalogue: Catalogue) -> bool:
    """Whether a repair of the defect is shown by a measurement and by nothing less."""
    return must_be_measured(_fault(defect, catalogue))


def measured_before(defect: Defect) -> Measurement | None:
    """The stored measurement that the defect rests on; None where it was not measured, or its value was flagged."""
    if defect.value is None:
        return None
    series = Measurement.objects.filter(unit=defect.unit_id, point=defect.point, place=defect.place)
    return series.filter(value=defect.value, task_id__isnull=True).order_by("-measured_at", "-pk").first()


def record_measurement(defect: Defect, measured: Measured, *, person: UUID, task: UUID | None = None) -> Measurement:
    """Enter a value that was read off into the series of the defect's unit, point and place."""
    return Measurement.objects.create(
        unit_id=defect.unit_id,
        point=defect.point,
        place=defect.place,
        value=measured.value,
        unit_of_measure=measured.unit_of_measure,
        measured_at=measured.measured_at,
        person_id=person,
        task_id=task,
    )


def measured_values(assessed: Iterable[tuple[Report, Assessment]]) -> list[Measurement]:
    """The unsaved values of a walk-around that enter a series; a flagged one stands on the report alone."""
    return [
        Measurement(
            unit_id=report.unit_id,
            point=verdict.check.point,
            place=verdict.check.place,
            value=verdict.accepted_value,
            unit_of_measure=verdict.check.unit_of_measure,
            measured_at=report.performed_at,
            person_id=report.walkaround.person_id,
            report_id=report.pk,
        )
        for report, assessment in assessed
        if report.unit_id is not None
        for verdict in assessment.judged
        if verdict.accepted_value is not None
    ]


def readings_of_walk(
    assessed: Iterable[tuple[Report, Assessment]], meters: Sequence[MeterReading], work: UnitOfWork
) -> list[CoolingReading]:
    """One unsaved reading for each cooling unit of which a walk-around gives a figure; none before its time is known.

    A value enters as it enters its series: not where it was flagged. Its report is what the history tells of it.
    """
    rows = []
    for report, assessment in assessed:
        said = _figures(assessment)
        if report.unit_id is None or not said:
            continue
        for meter in meters:
            if meter.unit_id == report.unit_id and meter.meter in HOURS and meter.state == ReadingState.ACCEPTED:
                said[HOURS[meter.meter]] = meter.shown
        reading = reading_row(report.unit_id, Figures(at=report.performed_at, **said), ReadingSource.WALK, work)
        reading.walkaround_id = report.walkaround_id
        rows.append(reading)
    return rows


def _figures(assessment: Assessment) -> dict[str, Any]:
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


def refuse_past_limit(defect: Defect, measured: Measured, catalogue: Catalogue, on: date, pointer: str) -> None:
    """Refuse a value measured after a repair that does not show the repair to hold.

    Invalid `measurement_unusable` (fact `why`), `measurement_past_limit` (facts `value`, `limit`),
    `measurement_limit_unknown`, `measurement_not_asked` for a fault that has nothing to be measured.
    """
    fault = _fault(defect, catalogue)
    if fault.point is None or fault.point.measure is None:
        raise Invalid("measurement_not_asked", pointer=pointer)
    found = remeasure(fault, measured.value, measured.unit_of_measure, _facts(defect, measured.measured_at), on)
    if found.flag is not None:
        why = Message(f"flag_{found.flag.code}", found.flag.facts)
        raise Invalid("measurement_unusable", pointer=pointer, why=why)
    if found.failed is not None:
        raise Invalid(
            "measurement_past_limit", pointer=pointer, value=number(measured.value), limit=number(found.failed)
        )
    if found.unknown:
        raise Invalid("measurement_limit_unknown", pointer=pointer)


def _facts(defect: Defect, at: datetime) -> UnitFacts:
    return facts_of_units([defect.unit_id], at=at)[defect.unit_id]


def _fault(defect: Defect, catalogue: Catalogue) -> Fault:
    return Fault(catalogue.get(defect.point), defect.place, defect.value, defect.limit, defect.limit_value)
