"""Reading what is due for review, signing it, and reading a review again."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import Field
from rest_framework.response import Response

from common.api.filters import StrictFilterSet
from common.api.parsers import FieldJSONParser
from common.api.signed_bodies import Expected
from common.api.values import Uuid
from common.errors import FieldProblem, Invalid, NotFound, Unreadable
from defects.api.catalogue.in_force import catalogue_for
from defects.api.records import ActFlagAnswer, FieldActBody, field_act
from defects.api.reviews.answers import DueAnswer, DueUnitAnswer, ReviewAnswer
from defects.models import DriverReview
from defects.selectors.records.act_flags import flags_of_acts
from defects.selectors.reviews import due_reviews, review_named
from defects.services.reviews import review_units
from defects.transitions import REVIEW
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefsFilter
from fleet.api.requests.references import units_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ServiceView
from fleet.api.units.short import UnitRef
from fleet.selectors.units.lookup import resolve_units

MAX_UNITS = 8


class ReviewBody(FieldActBody):
    """One signing act for all units of the combination. Name exactly the reports and certificates that are due."""

    units: Expected[Annotated[list[UnitRef], Field(min_length=1, max_length=MAX_UNITS)]]
    reports: Expected[Annotated[list[Uuid], Field(max_length=200)]]
    certificates: Expected[Annotated[list[Uuid], Field(max_length=200)]]


class DueReviewFilter(StrictFilterSet):
    """Filters nothing: says that `unit` is given once for each unit."""

    unit = UnitRefsFilter("pk")


class DueReviewView(ServiceView):
    """What the next driver of some units must review."""

    roles = {"get": READERS_OF_DEFECTS}
    query_parameters = {"get": frozenset({"unit"})}
    filterset_class = DueReviewFilter
    tag = "driver-reviews"
    shows = DueAnswer

    @extend_schema(
        parameters=[
            OpenApiParameter(
                "unit", {"type": "array", "items": {"type": "string"}, "maxItems": MAX_UNITS}, required=True
            )
        ]
    )
    def get(self, request: ServiceRequest) -> Response:
        """What the next driver must review.

        Per unit: reports, certificates and defects to be seen, and the defects that still lack a certificate.
        """
        refs = request.query_params.getlist("unit")
        if not refs:
            raise Unreadable("invalid_parameter", problems=[FieldProblem("", "required", parameter="unit")])
        found = resolve_units(refs)
        if len(refs) > MAX_UNITS or any(ref not in found for ref in refs):
            raise Unreadable("invalid_parameter", problems=[FieldProblem("", "unit_unknown", parameter="unit")])
        units = list({unit.pk: unit for unit in (found[ref] for ref in refs)}.values())
        due = due_reviews(unit.pk for unit in units)
        catalogue = catalogue_for(request)
        language = request.person.language
        return Response(
            DueAnswer(units=[DueUnitAnswer.of_unit(unit, due[unit.pk], catalogue, language) for unit in units])
        )


class DriverReviewsView(ServiceView):
    """Signing a review. Naming it makes sending again harmless."""

    roles = {"post": REVIEW}
    parser_classes = (FieldJSONParser,)
    idempotency = "none"
    tag = "driver-reviews"

    @extend_schema(request=ReviewBody, responses={201: ReviewAnswer, 200: ReviewAnswer})
    def post(self, request: ServiceRequest) -> Response:
        """Review and sign for every unit of the combination.

        You sign that the reports since the last review and the certificates to them were seen.

        200 with the same review when it is sent again, 409 for another body under its name. Kept as a walk-around is,
        and flagged, whatever differs from this description; only `id`, units on record and the signature must be there,
        and what is named must be all that is pending. After a 409 read `/driver-reviews/pending`, and sign again under
        a new `id`.
        """
        act = field_act(ReviewBody, request)
        refs = act.body.units
        if not refs:
            raise Invalid("required", pointer="/units")
        units = units_in_body(refs, [f"/units/{index}" for index in range(len(refs))])
        _, new = review_units(
            act=act.name,
            units=[unit.pk for unit in units],
            reports=act.body.reports or [],
            certificates=act.body.certificates or [],
            signing=act.signing,
            actor=request.person,
            now=request.now,
            sent=act.sent,
        )
        answer = Response(_answer_of(review_named(act.name, request.person), request))
        if new:
            answer.status_code = HTTPStatus.CREATED
            answer.headers["Location"] = f"/api/v1/driver-reviews/{act.name}"
        return answer


class DriverReviewView(ServiceView):
    """One review: one's own, or any for those who keep the record."""

    roles = {"get": READERS_OF_DEFECTS}
    tag = "driver-reviews"
    shows = ReviewAnswer

    def get(self, request: ServiceRequest, key: UUID) -> Response:
        """One signed review: what was seen and signed for, unit by unit."""
        rows = review_named(key, request.person)
        if not rows:
            raise NotFound("review_unknown")
        return Response(_answer_of(rows, request))


def _answer_of(rows: Sequence[DriverReview], request: ServiceRequest) -> ReviewAnswer:
    flags = flags_of_acts([rows[0].pk])
    return ReviewAnswer.of_rows(rows, ActFlagAnswer.of_act(flags, rows[0].pk, request.person.language))
