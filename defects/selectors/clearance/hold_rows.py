"""What stands against units, as rows of facts: holds, defects, refusals, and what the next driver must review."""

from django.db.models import BooleanField, Case, Count, DateTimeField, Exists, F, Max, OuterRef, Subquery, Value, When

from common.compiled import KeyIn, Parameter
from defects.enums import OPEN_DEFECT_STATES, DefectState, HoldKind, Listing
from defects.models import (
    Defect,
    DriverReview,
    Hold,
    LimitedMove,
    Photo,
    Refusal,
    Report,
    RoadsideViolation,
    SecondLook,
    Sighting,
    WorkInProgress,
)
from defects.rules.defects.judgement import COLUMNS
from defects.selectors.clearance.fact_row import Rows, as_rows

NAMING = {
    "point": "point",
    "place": "place",
    "text": "text",
    "finding": "finding",
    "unit_of_measure": "unit_of_measure",
    "value": "value",
    "limit_value": "limit_value",
}
"""What a defect's name is made of, by the name of the fact."""
ENDED = (DefectState.CLOSED, DefectState.ENTERED_IN_ERROR)


def holds(units: Parameter) -> Rows:
    """Standing holds. An officer's order is expected to end with the last of its repairs, once all have a time."""
    repairs = (
        RoadsideViolation.objects.filter(inspection_id=OuterRef("roadside_id"), unit_id=OuterRef("unit_id"))
        .filter(defect__state__in=OPEN_DEFECT_STATES)
        .order_by()
        .values("inspection_id")
        .annotate(all=Count("pk"), expected=Count("defect__expected_at"), last=Max("defect__expected_at"))
        .filter(all=F("expected"))
    )
    expected = Case(
        When(kind=HoldKind.OFFICER, then=Subquery(repairs.values("last")[:1])),
        default=F("defect__expected_at"),
        output_field=DateTimeField(),
    )
    active = Hold.objects.filter(KeyIn("unit_id", units), lifted_at__isnull=True).order_by()
    return as_rows(
        active,
        "hold",
        "unit_id",
        number="number",
        by="kind",
        since="placed_at",
        defect="defect__number",
        reason="reason",
        expected_at=expected,
        **{name: f"defect__{column}" for name, column in NAMING.items()},
    )


def work(units: Parameter) -> Rows:
    """Work that the shop has begun and not ended."""
    return as_rows(
        WorkInProgress.objects.filter(KeyIn("unit_id", units)).order_by(),
        "work",
        "unit_id",
        order="order_number",
        what="what",
        since="since",
        undone="undone",
        cold_freight_too="cold_freight_too",
        expected_at="expected_at",
    )


def limited_moves(units: Parameter) -> Rows:
    """The newest limited move of each unit whose end nobody has recorded."""
    newer = LimitedMove.objects.filter(unit_id=OuterRef("unit_id"), approved_at__gt=OuterRef("approved_at"))
    allowed = LimitedMove.objects.filter(~Exists(newer), KeyIn("unit_id", units), ended_at__isnull=True).order_by()
    return as_rows(
        allowed,
        "move",
        "unit_id",
        to_place="to_place",
        distance_mi="distance_mi",
        ends_at="ends_at",
        driver="driver__name",
        conditions="conditions",
        from_mi="from_mi",
    )


def defects(units: Parameter) -> Rows:
    """Every defect that has not ended, with the certificate in force; `photo_awaited` as in `selectors.holds`."""
    pictures = Photo.objects.filter(is_picture=True)
    named = pictures.filter(
        walkaround__reports__unit=OuterRef("unit_id"), original=OuterRef("current_certificate__photo_sha256")
    )
    of_it = pictures.filter(defect=OuterRef("pk"), received_at__gte=OuterRef("current_certificate__certified_at"))
    awaited = Case(
        When(
            ~Exists(named) & ~Exists(of_it),
            current_certificate__corrected_on_the_spot=True,
            current_certificate__photo_sha256__gt="",
            then=Value(value=True),
        ),
        default=Value(value=False),
        output_field=BooleanField(),
    )
    return as_rows(
        Defect.objects.filter(KeyIn("unit_id", units)).exclude(state__in=ENDED).order_by(),
        "defect",
        "unit_id",
        number="number",
        **NAMING,
        **{column: column for column in COLUMNS if column not in NAMING},
        since="found_at",
        state="state",
        expected_at="expected_at",
        certified_at="current_certificate__certified_at",
        photo_awaited=awaited,
        limit_on="current_certificate__limit_on",
        limit_mi="current_certificate__limit_mi",
        limit_engine_h="current_certificate__limit_engine_h",
    )


def reports_to_review(units: Parameter) -> Rows:
    """Reports with a defect on them that no driver has reviewed (396.13(b))."""
    reviewed = DriverReview.reports.through.objects.filter(report_id=OuterRef("pk"))
    due = Report.objects.filter(~Exists(reviewed), KeyIn("unit_id", units), review_due=True).order_by()
    return as_rows(due, "report", "unit_id", id="id", at="performed_at")


def certificates_to_review(units: Parameter) -> Rows:
    """Certificates in force that no driver has reviewed, to listed defects that a driver reported (396.13(c))."""
    reviewed = DriverReview.certificates.through.objects.filter(certificate_id=OuterRef("current_certificate_id"))
    reported = Sighting.objects.filter(defect=OuterRef("pk"), report__isnull=False)
    due = (
        Defect.objects.filter(
            Exists(reported), ~Exists(reviewed), KeyIn("unit_id", units), current_certificate__isnull=False
        )
        .exclude(listing=Listing.NOTED)
        .exclude(state__in=ENDED)
        .order_by()
    )
    return as_rows(due, "certificate", "unit_id", id="current_certificate_id", at="current_certificate__certified_at")


def refusals(units: Parameter) -> Rows:
    """Refusals that wait for a second look."""
    looked = SecondLook.objects.filter(refusal_id=OuterRef("pk"))
    waiting = Refusal.objects.filter(~Exists(looked), KeyIn("unit_id", units)).order_by()
    return as_rows(waiting, "refusal", "unit_id", id="id", at="refused_at")
