"""Units of one kind over HTTP: tractors, trailers and cooling units, added, read and edited."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.permissions import ANY_ROLE
from common.api.views import expected_version
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import site_in_body, unit_in_path
from fleet.api.requests.roles import DESKS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.answers import CoolingUnitAnswer, TractorAnswer, TrailerAnswer, UnitAnswer
from fleet.api.units.bodies import (
    CoolingUnitBody,
    CoolingUnitChange,
    TractorBody,
    TractorChange,
    TrailerBody,
    TrailerChange,
    UnitBody,
)
from fleet.api.units.filters import OneKindFilter
from fleet.enums import UnitKind
from fleet.models import Axle, Unit
from fleet.services.units.units import create_unit, edit_unit
from fleet.transitions import THIRD_PARTY_UNIT


class OneKindViewSet(ListMixin, ReadMixin):
    """What the views of tractors, trailers and cooling units share; each names its kind, bodies and answer."""

    kind: ClassVar[UnitKind]
    bodies: ClassVar[Mapping[str, type[UnitBody]]]
    shows: type[UnitAnswer]
    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": DESKS,
        "partial_update": THIRD_PARTY_UNIT.roles_for("edit"),
    }
    if_match = frozenset({"partial_update"})
    filterset_class = OneKindFilter
    ordering = ("number",)

    def get_queryset(self) -> QuerySet[Unit]:
        units = Unit.objects.filter(kind=self.kind).select_related("home_site", self.kind)
        return units.prefetch_related(Prefetch("axles", Axle.objects.order_by("number")))

    def one(self, name: str) -> Unit:
        """Return the unit of a number, number@owner or key."""
        return unit_in_path(name, among=self.get_queryset())

    def answer_of(self, row: Any) -> Answer:
        return self.shows.with_details(row, self.caller_roles)

    def create(self, request: ServiceRequest) -> Response:
        """Add a unit of ours, or of others when it has an owner."""
        body = self.bodies["create"].read(request)
        unit = create_unit(
            kind=self.kind,
            facts=_with_site(body),
            details=body.details(self.kind),
            axles=body.given_axles or [],
            actor=request.person,
            now=request.now,
        )
        return self.created(self._again(unit), f"{request.path}/{unit.pk}")

    def partial_update(self, request: ServiceRequest, ref: str) -> Response:
        """Change what is given; axles are replaced as a whole."""
        body = self.bodies["partial_update"].read(request)
        unit = edit_unit(
            unit_id=self.one(ref).pk,
            version=expected_version(request),
            facts=_with_site(body),
            details=body.details(self.kind),
            axles=body.given_axles,
            actor=request.person,
            now=request.now,
        )
        return self.shown(self._again(unit))

    def _again(self, unit: Unit) -> Unit:
        return self.get_queryset().get(pk=unit.pk)


class TractorViewSet(OneKindViewSet):
    """Tractors in service, or retired ones when asked for."""

    kind = UnitKind.TRACTOR
    bodies = {"create": TractorBody, "partial_update": TractorChange}
    shows = TractorAnswer


class TrailerViewSet(OneKindViewSet):
    """Trailers in service, or retired ones when asked for."""

    kind = UnitKind.TRAILER
    bodies = {"create": TrailerBody, "partial_update": TrailerChange}
    shows = TrailerAnswer


class CoolingUnitViewSet(OneKindViewSet):
    """Cooling units in service, or retired ones when asked for."""

    kind = UnitKind.COOLING_UNIT
    bodies = {"create": CoolingUnitBody, "partial_update": CoolingUnitChange}
    shows = CoolingUnitAnswer


def _with_site(body: UnitBody) -> dict[str, object]:
    """The facts of a body, its site found by code where one was given."""
    facts = body.facts
    if "home_site" in body.model_fields_set:
        site = site_in_body(body.home_site, "/home_site")
        facts["home_site_id"] = None if site is None else site.pk
    return facts
