"""The rows of an inspection: itself, its lines with their defects, and the holds that follow from it."""

from collections.abc import Sequence
from datetime import date, datetime

from defects.enums import HoldKind, Severity, SightingHow
from defects.models import Hold, RoadsideInspection, RoadsideViolation
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.closed_sets import Language
from defects.selectors.defects.naming import what_of_defect
from defects.services.holds.placing import active_holds, holds_of_grave, new_hold, place_holds
from defects.services.roadside.faults import Noted
from defects.services.roadside.report import OfficersReport
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork


def store_inspection(
    report: OfficersReport, *, answer_due_on: date | None, actor: Person, now: datetime
) -> RoadsideInspection:
    """The inspection with its units. The database keeps report numbers unique."""
    inspection = RoadsideInspection(
        report_number=report.report_number,
        inspected_at=report.inspected_at,
        officer=report.officer,
        us_state=report.us_state,
        level=report.level,
        is_clean=not report.violations,
        received_at=now,
        recorded_by=actor,
        answer_due_on=answer_due_on,
    )
    inspection.save(force_insert=True)
    inspection.units.add(*report.units)
    return inspection


def store_lines(noted: Sequence[Noted], inspection: RoadsideInspection) -> None:
    """Every line with its defect, which is stored already."""
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


def store_holds(
    work: UnitOfWork, noted: Sequence[Noted], inspection: RoadsideInspection, catalogue: Catalogue
) -> list[Hold]:
    """The officer's order on each unit with an out-of-service violation, and nowhere else.

    Elsewhere a fault of our own that says do not move is held by the carrier, unless it is already.
    """
    ordered = list(dict.fromkeys(item.violation.unit.pk for item in noted if item.violation.out_of_service))
    orders = [
        new_hold(
            work,
            HoldKind.OFFICER,
            key,
            roadside=inspection,
            reason=_reason([item for item in noted if item.violation.unit.pk == key], catalogue),
            at=inspection.inspected_at,
        )
        for key in ordered
    ]
    grave = [
        item.defect
        for item in noted
        if item.how != SightingHow.LATE
        and item.defect.severity == Severity.DO_NOT_MOVE
        and item.violation.unit.pk not in ordered
    ]
    own = holds_of_grave(work, grave, active_holds(grave), at=inspection.inspected_at)
    return place_holds(work, [*orders, *own])


def _reason(noted: Sequence[Noted], catalogue: Catalogue) -> str:
    """The out-of-service violations of one unit in words."""
    said = [
        " ".join(filter(None, (item.violation.section, item.violation.text)))
        if item.violation.text
        else what_of_defect(item.defect, catalogue, Language.ENGLISH)
        for item in noted
        if item.violation.out_of_service
    ]
    return "; ".join(dict.fromkeys(said))
