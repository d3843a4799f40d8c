"""Measurements at a defect's point and place: whether a repair must be measured, what shows it, and the one writer."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
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
