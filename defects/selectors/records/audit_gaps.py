"""The gaps that the drivers' reports and the officers' inspections of units show, for an audit rehearsal."""

from collections import defaultdict
from collections.abc import Iterator
from uuid import UUID

from django.db.models import Min, Prefetch

from common.clock import day_in_zone
from defects.enums import DefectState, Listing
from defects.models import Defect, Report, RoadsideInspection, Sighting
from defects.rules.records.audit_gaps import Inspection, Listed, Reported, Walked, report_gaps, roadside_gaps
from defects.selectors.defects.naming import names_of_defect
from fleet.rules.records.rehearsal import Gap
from fleet.selectors.records.audit_gaps import Audited


def find(audited: Audited) -> Iterator[Gap]:
    """Every gap of the units, in five statements."""
    keys = [unit.pk for unit in audited.units]
    walks: dict[UUID, list[Walked]] = defaultdict(list)
    rows = Report.objects.filter(unit__in=keys).order_by("performed_at", "pk")
    for unit, at, kind, driver in rows.values_list("unit", "performed_at", "walkaround__kind", "walkaround__person"):
        walks[unit].append(Walked(at, day_in_zone(at, audited.zone), kind, driver))
    for report in _with_defects(keys):
        reported = _reported(report, audited.zone)
        yield from report_gaps(reported, walks[reported.unit])
    inspections = RoadsideInspection.objects.filter(units__in=keys, is_clean=False).prefetch_related("units")
    for row in inspections.distinct().order_by("inspected_at", "pk"):
        for inspected in row.units.all():
            if inspected.pk in keys and row.answer_due_on is not None:
                answered = None if row.answered_at is None else day_in_zone(row.answered_at, audited.zone)
                due = Inspection(inspected.pk, row.pk, row.report_number, row.answer_due_on, answered)
                yield from roadside_gaps(due, audited.today)


def _with_defects(keys: list[UUID]) -> list[Report]:
    """Reports that list a defect, with when each was first certified and when the report was reviewed."""
    listed = (
        Sighting.objects.exclude(defect__listing=Listing.NOTED)
        .exclude(defect__state=DefectState.ENTERED_IN_ERROR)
        .order_by("defect__number", "pk")
    )
    first = Defect.objects.annotate(first_certified_at=Min("certificates__certified_at"))
    reports = Report.objects.filter(unit__in=keys, review_due=True).defer("checks", "faults")
    return list(
        reports.annotate(first_reviewed_at=Min("driver_reviews__reviewed_at"))
        .select_related("walkaround")
        .prefetch_related(Prefetch("sightings", listed), Prefetch("sightings__defect", first))
        .order_by("performed_at", "pk")
    )


def _reported(report: Report, zone: str) -> Reported:
    walk = report.walkaround
    if report.unit_id is None:
        raise ValueError(report.pk)
    return Reported(
        unit=report.unit_id,
        key=report.pk,
        walked=Walked(report.performed_at, day_in_zone(report.performed_at, zone), walk.kind, walk.person_id),
        listed=[
            Listed(
                sighting.defect.number,
                sighting.defect.first_certified_at,  # type: ignore[attr-defined]  # annotated above
                names_of_defect(sighting.defect),
            )
            for sighting in report.sightings.all()
        ],
        review_due=report.review_due,
        reviewed_at=report.first_reviewed_at,  # type: ignore[attr-defined]  # annotated above
    )
