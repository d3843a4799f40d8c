"""GET of the catalogue: what there is to look at and measure, with every limit and its source."""

from collections.abc import Iterable
from enum import StrEnum

from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.clock import day_in_zone
from common.errors import FieldProblem, Unreadable
from defects.api.catalogue.answers import PointAnswer, PointsAnswer
from defects.enums import Authority
from defects.rules.catalogue.closed_sets import CATALOGUE_LEGS, Subsystem, System
from defects.rules.catalogue.points import Point
from defects.selectors.catalogue.catalogue import catalogue_in_force, stored_catalogue
from defects.selectors.defects.naming import language_of
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import UnitKind
from fleet.selectors.carrier.carrier import effective_policies

FILTERS: dict[str, Iterable[StrEnum]] = {
    "unit_kind": UnitKind,
    "system": System,
    "subsystem": Subsystem,
    "authority": Authority,
    "leg": CATALOGUE_LEGS,
}


@method_decorator(gzip_page, name="dispatch")
class PointsView(ServiceView):
    """The catalogue in force, carrier tightening included, or an older one by its hash."""

    roles = {"get": ANY_ROLE}
    query_parameters = {"get": frozenset({*FILTERS, "catalogue"})}

    @extend_schema(
        summary="What to look at and measure, in walking order",
        responses=PointsAnswer,
        parameters=[
            *(OpenApiParameter(name, enum=[str(word) for word in words]) for name, words in FILTERS.items()),
            OpenApiParameter("catalogue", description="The hash of an older catalogue."),
        ],
    )
    def get(self, request: ServiceRequest) -> Response:
        """Every point asked for, in the person's language; the ETag names the catalogue and the language."""
        wanted = {name: _word(request, name, words) for name, words in FILTERS.items() if name in request.query_params}
        effective = effective_policies(now=request.now)
        catalogue = catalogue_in_force(effective.policies)
        older = request.query_params.get("catalogue", catalogue.content_hash)
        if older != catalogue.content_hash:
            found = stored_catalogue(older)
            if found is None:
                problem = FieldProblem("", "catalogue_unknown", parameter="catalogue")
                raise Unreadable("invalid_parameter", problems=[problem])
            catalogue = found
        language = language_of(request.person.language)
        today = day_in_zone(request.now, effective.zone)
        points = [
            point
            for point in catalogue.points.values()
            if _fits(point, wanted) and (point.retired_on is None or point.retired_on > today)
        ]
        answer = Response(
            PointsAnswer(
                catalogue=catalogue.content_hash,
                language=language,
                results=[PointAnswer.of_point(point, language) for point in points],
            )
        )
        answer.headers["ETag"] = f'"{catalogue.content_hash}-{language}"'
        return answer


def _word(request: ServiceRequest, name: str, words: Iterable[StrEnum]) -> str:
    given = request.query_params[name]
    allowed = [str(word) for word in words]
    if given not in allowed:
        problem = FieldProblem("", "invalid_choice", {"allowed": allowed}, name)
        raise Unreadable("invalid_parameter", problems=[problem])
    return given


def _fits(point: Point, wanted: dict[str, str]) -> bool:
    kind = wanted.get("unit_kind")
    if kind is not None and kind not in point.unit_kinds:
        return False
    return all(str(getattr(point, name)) == word for name, word in wanted.items() if name != "unit_kind")
