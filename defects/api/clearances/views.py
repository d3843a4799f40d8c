"""Asking whether units may roll, reading an earlier answer, and the yard as it stands."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.errors import NotFound
from defects.api.clearances.filters import YardFilterSet
from defects.api.clearances.serializers import (
    ClearanceBody,
    ClearanceOut,
    Named,
    YardRowOut,
    answer_body,
    clearance_body,
)
from defects.models import Clearance
from defects.rules.clearance import answer_clearance
from defects.selectors.catalogue import catalogue_in_force
from defects.selectors.clearance.rows import Asked
from defects.selectors.clearance.snapshots import Trip, yard_snapshots
from defects.selectors.combinations import units_of_trip
from defects.services.clearances import answer_columns, ask_clearance
from fleet.api.base import ServiceViewSet
from fleet.api.requests import ServiceRequest
from fleet.enums import Role
from fleet.models import Unit
from fleet.selectors.policies import standing_policies

ASKERS = frozenset({Role.DRIVER, Role.DISPATCH, Role.FOREMAN, Role.COMPLIANCE, Role.MECHANIC, Role.TRAINER})


class ClearanceViewSet(ServiceViewSet):
    """Dispatch's question. Asking is on record; nobody overrides the answer."""

    roles = {"create": ASKERS, "retrieve": ANY_ROLE, "list": ANY_ROLE}
    queryset = Clearance.objects.select_related("load", "driver", "asked_by").prefetch_related("units")
    ordering = ("-asked_at",)

    @extend_schema(request=ClearanceBody, responses={201: ClearanceOut}, summary="Ask whether these units may roll")
    def create(self, request: ServiceRequest) -> Response:
        """201 with the answer, from one snapshot of everything known."""
        body = ClearanceBody(data=request.data)
        body.is_valid(raise_exception=True)
        trip = _trip(body.validated_data, request)
        done = ask_clearance(trip=trip, actor=request.person, now=request.now)
        named = Named(trip.units, trip.asked.load, done.driver_name, request.person.name)
        catalogue = catalogue_in_force(done.standing.policies)
        answer = clearance_body(done.clearance, named, catalogue, request.person.language)
        return Response(answer, status=status.HTTP_201_CREATED)

    @extend_schema(responses=ClearanceOut, summary="Read an answer as it was given")
    def retrieve(self, request: ServiceRequest, pk: UUID) -> Response:
        """The answer as it stood when it was asked; ask again for the present one."""
        clearance = self.get_queryset().filter(pk=pk).first()
        if clearance is None:
            raise NotFound("not_found")
        return Response(self._body(clearance, request))

    @extend_schema(responses=ClearanceOut(many=True), summary="The askings on record, newest first")
    def list(self, request: ServiceRequest) -> Response:
        """A page of askings."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        return self.get_paginated_response([self._body(clearance, request) for clearance in page or ()])

    def _body(self, clearance: Clearance, request: ServiceRequest) -> dict[str, Any]:
        named = Named(
            units=list(clearance.units.all()),
            load="" if clearance.load is None else clearance.load.number,
            driver="" if clearance.driver is None else clearance.driver.name,
            asked_by=clearance.asked_by.name,
        )
        catalogue = catalogue_in_force(standing_policies(now=request.now).policies)
        return clearance_body(clearance, named, catalogue, request.person.language)


class YardViewSet(ServiceViewSet):
    """Every unit as it stands, asked for together with what it runs with."""

    roles = {"list": ANY_ROLE}
    queryset = Unit.objects.filter(retired_on__isnull=True).select_related("cooling_unit")
    filterset_class = YardFilterSet
    ordering = ("number",)

    @extend_schema(responses=YardRowOut(many=True), summary="What stands against every unit now")
    def list(self, request: ServiceRequest) -> Response:
        """A page of units with their answers."""
        rows: QuerySet[Unit] = self.filter_queryset(self.get_queryset())
        page = self.paginate_queryset(rows) or []
        standing, snapshots = yard_snapshots(page, now=request.now)
        catalogue = catalogue_in_force(standing.policies)
        body = []
        for snapshot in snapshots:
            answer = answer_clearance(snapshot)
            worded = answer_body(answer.answer, answer_columns(answer), catalogue, request.person.language)
            group = [facts.ref for facts in snapshot.units]
            body += [
                {"unit": facts.ref, "kind": str(facts.kind), "together_with": [r for r in group if r != facts.ref], **worded}
                for facts in snapshot.units
            ]
        order = {str(unit): position for position, unit in enumerate(page)}
        return self.get_paginated_response(sorted(body, key=lambda row: order[str(row["unit"])]))


def _trip(given: dict[str, Any], request: ServiceRequest) -> Trip:
    return Trip(
        units=units_of_trip(given["units"], at=request.now),
        departure=given.get("departure", request.now),
        arrival=given["arrival"],
        asked=Asked(driver=given.get("driver", ""), load=given.get("load", "")),
    )
