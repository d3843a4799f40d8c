"""The rows of an inspection: itself, its lines with their defects and sightings, and the holds that follow from it."""

from collections.abc import Sequence
from datetime import date, datetime

from defects.enums import Bars, HoldKind, Severity, SightingHow
from defects.models import Defect, Hold, RoadsideInspection, RoadsideViolation, Sighting
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.words import what_of_defect
from defects.services.roadside.faults import JOINED_FIELDS, Noted, severity_by_officer
from defects.services.roadside.report import OfficersReport
from fleet.models import Person


def store_inspection(
    report: OfficersReport, *, answer_due_on: date | None, actor: Person, now: datetime
) -> RoadsideInspection:
    """The inspection with its units. The database keeps report numbers unique."""
    inspection = RoadsideInspection(
        report_number=report.report_number,
        inspected_at=report.inspected_at,
        officer=report.officer,
        state=report.state,
        level=report.level,
        is_clean=not report.violations,
        received_at=now,
        recorded_by=actor,
        answer_due_on=answer_due_on,
    )
    inspection.save(force_insert=True)
    inspection.units.add(*report.units)
    return inspection


def store_lines(noted: Sequence[Noted], inspection: RoadsideInspection, actor: Person, now: datetime) -> None:
    """Every line with its defect, new or joined, and a sighting of it."""
    by_key = {item.defect.pk: item.defect for item in noted}
    new = {item.defect.pk for item in noted if item.how == SightingHow.NEW}
    Defect.objects.bulk_create([defect for key, defect in by_key.items() if key in new])
    joined = [defect for key, defect in by_key.items() if key not in new]
    if joined:
        Defect.objects.bulk_update(joined, JOINED_FIELDS)
    RoadsideViolation.objects.bulk_create(
        RoadsideViolation(
            inspection=inspection,
            position=position,
            unit=item.violation.unit,
            defect=item.defect,
            section=item.violation.section,
            text=item.violation.text,
            out_of_service=item.violation.out_of_service,
        )
        for position, item in enumerate(noted, 1)
    )
    Sighting.objects.bulk_create(_sighting(item, inspection, actor, now) for item in noted)


def store_holds(
    noted: Sequence[Noted], inspection: RoadsideInspection, catalogue: Catalogue, actor: Person, now: datetime
) -> list[Hold]:
    """The officer's order on each unit with an out-of-service violation, and nowhere else.

    Elsewhere a fault of our own that says do not move is held by the carrier, unless it is already.
    """
    ordered = {item.violation.unit.pk: item.violation.unit for item in noted if item.violation.out_of_service}
    holds = [
        Hold(
            unit=unit,
            kind=HoldKind.OFFICER,
            roadside=inspection,
            reason=_reason([item for item in noted if item.violation.unit.pk == key], catalogue, actor.language),
            placed_at=inspection.inspected_at,
            placed_by=actor,
            recorded_at=now,
        )
        for key, unit in ordered.items()
    ]
    grave = {
        item.defect.pk: item.defect
        for item in noted
        if item.how != SightingHow.LATE
        and item.defect.severity == Severity.DO_NOT_MOVE
        and item.violation.unit.pk not in ordered
    }
    held = Hold.objects.filter(defect__in=grave, kind=HoldKind.CARRIER, lifted_at__isnull=True)
    for key in set(held.values_list("defect_id", flat=True)) if grave else ():
        del grave[key]
    holds += [
        Hold(
            unit_id=defect.unit_id,
            kind=HoldKind.CARRIER,
            defect=defect,
            reason=what_of_defect(defect, catalogue, actor.language),
            placed_at=inspection.inspected_at,
            placed_by=actor,
            recorded_at=now,
        )
        for defect in grave.values()
    ]
    return Hold.objects.bulk_create(holds)


def _reason(noted: Sequence[Noted], catalogue: Catalogue, language: str) -> str:
    """The out-of-service violations of one unit in words."""
    said = [
        " ".join(filter(None, (item.violation.section, item.violation.text)))
        if item.violation.text
        else what_of_defect(item.defect, catalogue, language)
        for item in noted
        if item.violation.out_of_service
    ]
    return "; ".join(dict.fromkeys(said))


def _sighting(item: Noted, inspection: RoadsideInspection, actor: Person, now: datetime) -> Sighting:
    line = item.violation
    return Sighting(
        defect=item.defect,
        person=actor,
        how=item.how,
        severity=severity_by_officer(line) if item.how == SightingHow.LATE else item.defect.severity,
        bars=Bars.MOVEMENT,
        finding=line.finding,
        note=line.text,
        value=line.value,
        unit_of_measure=line.unit_of_measure,
        seen_at=inspection.inspected_at,
        recorded_at=now,
    )
