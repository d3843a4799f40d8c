"""What the next driver must review (396.13): reports since the last one, and the certificates to their defects."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from defects.enums import DefectState, Listing
from defects.models import Certificate, Defect, DriverReview, Report, Sighting
from fleet.enums import Role
from fleet.models import Person


@dataclass
class DueReview:
    """What one unit's next review must name, oldest first, and what keeps it from being signed.

    `missing` are listed defects that have no certificate in force (396.13(c)). `noted` are those beside the list.
    """

    reports: list[Report] = field(default_factory=list)
    certificates: list[Certificate] = field(default_factory=list)
    defects: list[Defect] = field(default_factory=list)
    missing: list[Defect] = field(default_factory=list)
    noted: list[Defect] = field(default_factory=list)


def due_reviews(units: Iterable[UUID]) -> dict[UUID, DueReview]:
    """What is due for each unit, in two statements however many units there are."""
    keys = list(units)
    due = {key: DueReview() for key in keys}
    for report in reports_to_review().filter(unit_id__in=keys).select_related("walkaround", "walkaround__person"):
        if report.unit_id is not None:
            due[report.unit_id].reports.append(report)
    for defect in _reported(keys):
        found = due[defect.unit_id]
        if defect.listing == Listing.NOTED:
            if defect.current_certificate is None:
                found.noted.append(defect)
            continue
        found.defects.append(defect)
        certificate = defect.current_certificate
        if certificate is not None:
            if not defect.certificate_reviewed:  # type: ignore[attr-defined]  # annotated below
                found.certificates.append(certificate)
        else:
            found.missing.append(defect)
    return due


def reports_to_review() -> QuerySet[Report]:
    """Reports with a defect on them that no driver has reviewed yet, oldest first."""
    through = DriverReview.reports.through
    seen = through.objects.filter(report_id=OuterRef("pk"))
    return Report.objects.filter(~Exists(seen), review_due=True).order_by("performed_at", "pk")


SEE_ALL = frozenset({Role.FOREMAN, Role.MECHANIC, Role.COMPLIANCE, Role.AUDITOR})


def review_named(act: UUID, person: Person) -> list[DriverReview]:
    """The rows of one signing act that the person may read, in four statements; none for what they may not see."""
    rows = (
        DriverReview.objects.filter(signature=act)
        .select_related("unit", "person")
        .prefetch_related("reports", "certificates")
        .order_by("pk")
    )
    return list(rows if not SEE_ALL.isdisjoint(person.current_roles) else rows.filter(person=person))


def _reported(units: Sequence[UUID]) -> QuerySet[Defect]:
    """The defects that drivers reported and that are not ended, each with its certificate in force."""
    through = DriverReview.certificates.through
    reviewed = through.objects.filter(certificate_id=OuterRef("current_certificate_id"))
    reported = Sighting.objects.filter(defect=OuterRef("pk"), report__isnull=False)
    return (
        Defect.objects.filter(Exists(reported), unit_id__in=units)
        .exclude(state__in=(DefectState.CLOSED, DefectState.ENTERED_IN_ERROR))
        .select_related("unit", "current_certificate", "current_certificate__signature__signer")
        .annotate(certificate_reviewed=Exists(reviewed))
        .order_by("number")
    )
