"""Units of one kind: adding, reading and editing them."""

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.response import Response
from rest_framework.serializers import Serializer

from common.api.etags import expected_version
from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceViewSet
from fleet.api.filters import OneKindFilter
from fleet.api.names import site_in_body, unit_in_path
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import DESKS
from fleet.api.serializers.units import UnitBody
from fleet.enums import UnitKind
from fleet.models import Axle, Unit
from fleet.services.units.units import create_unit, edit_unit
from fleet.transitions import UNIT_OF_OTHERS


class OneKindViewSet(ServiceViewSet):
    """What the views of tractors, trailers and cooling units share; each names its kind, body and output."""

    kind: ClassVar[UnitKind]
    body: ClassVar[type[UnitBody]]
    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": DESKS,
        "partial_update": UNIT_OF_OTHERS.roles_for("edit"),
    }
    if_match = frozenset({"partial_update"})
    filterset_class = OneKindFilter
    ordering = ("number",)

    def get_queryset(self) -> QuerySet[Unit]:
        """Return the units of the kind with all that is shown of them."""
        units = Unit.objects.filter(kind=self.kind).select_related("home_site", self.kind)
        return units.prefetch_related(Prefetch("axles", Axle.objects.order_by("number")))

    def list(self, request: ServiceRequest) -> Response:
        """Units of this kind in service, or retired ones when asked for."""
        return self.listed()

    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One unit, by number, number@owner or key."""
        return self.shown(unit_in_path(ref, among=self.get_queryset()))

    def create(self, request: ServiceRequest) -> Response:
        """Add a unit of ours, or of others when it has an owner."""
        body = parsed(self.body, request)
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
        body = parsed(self.body, request, partial=True)
        unit = edit_unit(
            unit_id=unit_in_path(ref, among=self.get_queryset()).pk,
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


def _with_site(body: UnitBody) -> dict[str, object]:
    """The facts of a body, its site found by code where one was given."""
    facts = body.facts
    if "home_site" in body.validated_data:
        site = site_in_body(body.validated_data["home_site"], "/home_site")
        facts["home_site_id"] = None if site is None else site.pk
    return facts


def described(body: type[UnitBody], output: type[Serializer[Any]]) -> Any:
    """Return a class decorator that describes a kind's operations by its own body and output."""
    return extend_schema_view(
        list=extend_schema(responses=output(many=True)),
        retrieve=extend_schema(responses=output),
        create=extend_schema(request=body, responses={201: output}),
        partial_update=extend_schema(request=body, responses=output),
    )
