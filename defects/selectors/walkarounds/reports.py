"""Reports for reading: the rows of a list, who may see them, and one with how far its review has come."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from common.errors import or_not_found
from defects.enums import ReviewState
from defects.models import Defect, DriverReview, Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.catalogue.catalogue import stored_catalogue


def report_rows() -> QuerySet[Report]:
    """Reports with their walk-around, driver and unit, and whether a driver has reviewed them, in one statement."""
    reviews = DriverReview.reports.through.objects.filter(report_id=OuterRef("pk"))
    return Report.objects.select_related(
        "unit",
        "unit_assigned_by",
        "walkaround",
        "walkaround__person",
        "walkaround__team_mate",
        "walkaround__site",
        "signature",
    ).annotate(reviewed=Exists(reviews))


def report_named(key: UUID) -> Report:
    """The report of that key; NotFound `report_unknown`."""
    return or_not_found(report_rows().filter(pk=key).first(), "report_unknown")


def review_state(report: Report) -> ReviewState:
    """Whether the next driver still has to review a report that came from `report_rows`."""
    if not report.review_due:
        return ReviewState.NOT_DUE
    return ReviewState.REVIEWED if report.reviewed else ReviewState.DUE  # type: ignore[attr-defined]  # annotated above


@dataclass(frozen=True)
class ReportPage:
    """One report with the catalogue it was judged by, the defects it opened or saw, and its reviews."""

    report: Report
    catalogue: Catalogue | None
    defects: Sequence[Defect]
    reviews: Sequence[DriverReview]


def report_page(report: Report) -> ReportPage:
    """Read what hangs on a report, in three statements. The catalogue is None where its document is gone."""
    seen = Defect.objects.filter(sightings__report=report).distinct().order_by("number")
    reviews = DriverReview.objects.filter(reports=report).select_related("person").order_by("reviewed_at", "pk")
    return ReportPage(report, stored_catalogue(report.walkaround.catalogue_id), list(seen), list(reviews))
