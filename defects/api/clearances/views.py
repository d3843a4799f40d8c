"""Asking whether units may roll, reading an earlier answer, and the yard as it stands."""

from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.errors import NotFound
from defects.api.clearances.filters import ClearanceFilterSet, YardFilterSet
from defects.api.clearances.serializers import (
    ClearanceBody,
    ClearanceOut,
    Names,
    YardRowOut,
    answer_body,
    clearance_body,
)
from defects.models import Clearance
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.clearance.reason_messages import Reader
from defects.selectors.clearance.rows import Asked
from defects.selectors.clearance.trips import Trip
from defects.selectors.clearance.weighing import weigh
from defects.selectors.clearance.yard import Combination, yard_of
from defects.selectors.combinations import units_of_trip
from defects.services.clearance.clearances import answer_columns, ask_clearance
from fleet.api.base import ServiceViewSet
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.enums import Role
from fleet.models import Person, Unit
from fleet.selectors.carrier.policies import EffectivePolicies, effective_policies

ASKERS = frozenset({Role.DRIVER, Role.DISPATCH, Role.FOREMAN, Role.COMPLIANCE, Role.MECHANIC, Role.TRAINER})
PLANNERS = frozenset({Role.DISPATCH, Role.FOREMAN, Role.COMPLIANCE})
"""They ask for others too: who does not name a driver means none."""


class ClearanceViewSet(ServiceViewSet):
    """Dispatch's question. Asking is on record; nobody overrides the answer."""

    roles = {"create": ASKERS, "retrieve": ANY_ROLE, "list": ANY_ROLE}
    queryset = Clearance.objects.select_related("load", "driver", "asked_by").prefetch_related(
        Prefetch("units", Unit.objects.order_by("kind", "number", "pk"))
    )
    filterset_class = ClearanceFilterSet
    ordering = ("-asked_at",)

    @extend_schema(request=ClearanceBody, responses={201: ClearanceOut}, summary="Ask whether these units may roll")
    def create(self, request: ServiceRequest) -> Response:
        """201 with the answer, from one snapshot of everything known."""
        trip = _trip(parsed(ClearanceBody, request).validated_data, request)
        done = ask_clearance(trip=trip, actor=request.person, now=request.now)
        names = Names(
            units=[str(unit) for unit in trip.units],
            load=None if done.load is None else done.load.name,
            driver=None if done.driver is None else done.driver.name,
            asked_by=request.person.name,
        )
        answer = clearance_body(done.clearance, names, reader_under(done.standing, request))
        headers = {"Location": f"{request.path}/{done.clearance.pk}"}
        return Response(answer, status=status.HTTP_201_CREATED, headers=headers)

    @extend_schema(responses=ClearanceOut, summary="Read an answer as it was given")
    def retrieve(self, request: ServiceRequest, pk: UUID) -> Response:
        """The answer as it stood when it was asked; ask again for the present one."""
        clearance = self.get_queryset().filter(pk=pk).first()
        if clearance is None:
            raise NotFound("clearance_unknown")
        return Response(_stored_body(clearance, reader_under(effective_policies(now=request.now), request)))

    @extend_schema(responses=ClearanceOut(many=True), summary="The askings on record, newest first")
    def list(self, request: ServiceRequest) -> Response:
        """A page of clearance requests."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or ()
        reader = reader_under(effective_policies(now=request.now), request)
        return self.paged(page, lambda clearance: _stored_body(clearance, reader))


class YardViewSet(ServiceViewSet):
    """Every unit as it stands, judged together with what it stands with."""

    roles = {"list": ANY_ROLE}
    queryset = Unit.objects.filter(retired_on__isnull=True)
    filterset_class = YardFilterSet
    ordering = ("number",)

    @extend_schema(responses=YardRowOut(many=True), summary="What stands against every unit now")
    def list(self, request: ServiceRequest) -> Response:
        """A page of units. A combination is judged whole, units included that are not on the page.

        With `answer`, a page is shorter by its units that answer otherwise, and may be empty: follow `next`.
        """
        rows: QuerySet[Unit] = self.filter_queryset(self.get_queryset())
        page = self.paginate_queryset(rows) or []
        yard = yard_of(page, now=request.now)
        reader = reader_under(yard.standing, request)
        bodies: dict[str, dict[str, Any]] = {}
        for combination in yard.combinations:
            bodies.update(_yard_bodies(combination, reader))
        wanted = request.query_params.get("answer")
        found = [bodies[str(unit)] for unit in page]
        return self.get_paginated_response([row for row in found if wanted in {None, row["answer"]}])


def reader_under(standing: EffectivePolicies, request: ServiceRequest) -> Reader:
    """Whom the request's answers are worded for, under the carrier's decisions."""
    return Reader(catalogue_in_force(standing.policies), ZoneInfo(standing.zone), request.person.language)


def _yard_bodies(combination: Combination, reader: Reader) -> dict[str, dict[str, Any]]:
    """The row of every unit of one combination, by unit."""
    answer = weigh(combination.snapshot)
    worded = answer_body(answer.answer, answer_columns(answer), reader)
    refs = [facts.ref for facts in combination.snapshot.units]
    return {
        facts.ref: {
            "unit": facts.ref,
            "kind": str(facts.kind),
            "together_with": [ref for ref in refs if ref != facts.ref],
            "load": combination.load or None,
            **worded,
        }
        for facts in combination.snapshot.units
    }


def _stored_body(clearance: Clearance, reader: Reader) -> dict[str, Any]:
    names = Names(
        units=[str(unit) for unit in clearance.units.all()],
        load=None if clearance.load is None else clearance.load.number,
        driver=None if clearance.driver is None else clearance.driver.name,
        asked_by=clearance.asked_by.name,
    )
    return clearance_body(clearance, names, reader)


def _trip(given: dict[str, Any], request: ServiceRequest) -> Trip:
    return Trip(
        units=units_of_trip(given["units"], at=request.now),
        departure=given.get("departure", request.now),
        arrival=given["arrival"],
        miles=given.get("miles"),
        asked=Asked(driver=given.get("driver") or _who_asks(request.person), load=given.get("load", "")),
    )


def _who_asks(person: Person) -> str:
    """The driver that is meant when none is named: whoever asks and drives, and plans for nobody else."""
    drives = Role.DRIVER in person.current_roles and not PLANNERS & person.current_roles
    return str(person.pk) if drives else ""
