"""Asking whether units may roll, reading an earlier answer, and the yard as it stands."""

from functools import cached_property
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet
from django_filters import rest_framework as filters
from rest_framework import status
from rest_framework.response import Response

from common.api.filter_kinds import within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.views import takes
from defects.api.clearance.answers import AnsweredClearance, ClearanceBody, YardRowAnswer, clearance_answer, worded
from defects.enums import ClearanceAnswer
from defects.models import Clearance
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.clearance.answer import answer_for
from defects.selectors.clearance.reason_messages import Reader
from defects.selectors.clearance.snapshot import TripRequest
from defects.selectors.clearance.trips import Trip
from defects.selectors.clearance.yard import Combination, yard_of
from defects.selectors.loads.loads import load_number
from defects.services.clearance.clearances import answer_columns, request_clearance
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.filters import SiteRefFilter, UnitRefFilter, UnitRefsFilter
from fleet.api.requests.references import in_body
from fleet.api.requests.views import ListMixin, ReadMixin, ServiceViewSet
from fleet.api.units.filters import AtSiteFilter, LocationFilter
from fleet.enums import Role, UnitKind
from fleet.models import Person, Unit
from fleet.models.base import choices
from fleet.selectors.carrier.carrier import EffectivePolicies, effective_policies
from fleet.selectors.units.combinations import units_of_trip


class YardFilterSet(StrictFilterSet):
    """By unit (several allowed), kind, home site, where it is, and by the answer, found only after the page is cut."""

    unit = UnitRefsFilter(field_name="pk")
    kind = filters.ChoiceFilter(choices=choices(UnitKind))
    site = SiteRefFilter("home_site__code")
    location = LocationFilter()
    at_site = AtSiteFilter()
    answer = filters.ChoiceFilter(choices=choices(ClearanceAnswer), method="with_any_answer")

    def with_any_answer(self, rows: QuerySet[Unit], _name: str, _value: str) -> QuerySet[Unit]:
        """All of them: the answer is no column; the view leaves out what answers otherwise."""
        return rows


class ClearanceFilterSet(StrictFilterSet):
    """By a unit asked for, by answer, and by when it was asked."""

    unit = UnitRefFilter("units")
    answer = filters.ChoiceFilter(choices=choices(ClearanceAnswer))
    since, until = within("requested_at")


ASKERS = frozenset({Role.DRIVER, Role.DISPATCH, Role.FOREMAN, Role.COMPLIANCE, Role.MECHANIC, Role.TRAINER})
PLANNERS = frozenset({Role.DISPATCH, Role.FOREMAN, Role.COMPLIANCE})
"""They ask for others too: who does not name a driver means none."""


class ClearanceViewSet(ListMixin, ReadMixin):
    """The clearance requests on record, newest first.

    Asking is on record; nobody overrides the answer. One is read as it stood when it was asked; ask again for the
    present answer.
    """

    roles = {"create": ASKERS, "retrieve": ANY_ROLE, "list": ANY_ROLE}
    queryset = Clearance.objects.select_related("load", "driver", "requested_by").prefetch_related(
        Prefetch("units", Unit.objects.order_by("kind", "number", "pk"))
    )
    filterset_class = ClearanceFilterSet
    ordering = ("-requested_at",)
    shows = AnsweredClearance
    unknown = "clearance_unknown"

    @cached_property
    def reader(self) -> Reader:
        """Whom the answers on record are worded for."""
        request = service_request(self.request)
        return reader_under(effective_policies(now=request.now), request)

    def answer_of(self, row: Any) -> AnsweredClearance:
        load = None if row.load is None else row.load.number
        return clearance_answer(row, self.reader, units=[str(unit) for unit in row.units.all()], load=load)

    @takes(ClearanceBody)
    def create(self, request: ServiceRequest, body: ClearanceBody) -> Response:
        """Ask whether these units may roll: the answer is from one snapshot of everything known."""
        trip = _trip(body, request)
        done = request_clearance(trip=trip, actor=request.person, now=request.now)
        answer = clearance_answer(
            done.clearance,
            reader_under(done.effective, request),
            units=[str(unit) for unit in trip.units],
            load=None if done.load is None else done.load.name,
            driver=None if done.driver is None else PersonShort(id=done.driver.key, name=done.driver.name),
            requested_by=PersonShort.of(request.person),
        )
        headers = {"Location": f"{request.path}/{done.clearance.pk}"}
        return Response(answer, status=status.HTTP_201_CREATED, headers=headers)


class YardViewSet(ServiceViewSet):
    """What stands against every unit now, judged together with what it stands with."""

    roles = {"list": ANY_ROLE}
    queryset = Unit.objects.filter(retired_on__isnull=True)
    filterset_class = YardFilterSet
    ordering = ("number",)
    shows = YardRowAnswer

    def list(self, request: ServiceRequest) -> Response:
        """What stands against every unit now.

        A combination is judged whole, units included that are not on the page.

        With `answer`, a page is shorter by its units that answer otherwise, and may be empty: follow `next`.
        """
        rows: QuerySet[Unit] = self.filter_queryset(self.get_queryset())
        page = self.paginate_queryset(rows) or []
        yard = yard_of(page, now=request.now)
        reader = reader_under(yard.effective, request)
        answers: dict[str, YardRowAnswer] = {}
        for combination in yard.combinations:
            answers.update(_yard_answers(combination, reader))
        wanted = request.query_params.get("answer")
        found = [answers[str(unit)] for unit in page]
        return self.get_paginated_response([row for row in found if wanted in {None, row.answer}])


def reader_under(effective: EffectivePolicies, request: ServiceRequest) -> Reader:
    """Whom the request's answers are worded for, under the carrier's decisions."""
    return Reader(catalogue_in_force(effective.policies), ZoneInfo(effective.zone), request.person.language)


def _yard_answers(combination: Combination, reader: Reader) -> dict[str, YardRowAnswer]:
    """The row of every unit of one combination, by unit."""
    answer = answer_for(combination.snapshot)
    said = worded(answer.answer, answer_columns(answer), reader)
    refs = [facts.ref for facts in combination.snapshot.units]
    return {
        facts.ref: YardRowAnswer(
            unit=facts.ref,
            kind=str(facts.kind),
            together_with=[ref for ref in refs if ref != facts.ref],
            load=combination.load or None,
            **said,
        )
        for facts in combination.snapshot.units
    }


def _trip(body: ClearanceBody, request: ServiceRequest) -> Trip:
    return Trip(
        units=units_of_trip(body.units, at=request.now),
        departure=body.departure or request.now,
        arrival=body.arrival,
        miles=body.miles,
        us_states=body.us_states,
        requested=TripRequest(
            driver=body.driver or _who_asks(request.person), load=in_body(load_number, body.load, "/load")
        ),
    )


def _who_asks(person: Person) -> UUID | None:
    """The driver that is meant when none is named: whoever asks and drives, and plans for nobody else."""
    drives = Role.DRIVER in person.current_roles and not PLANNERS & person.current_roles
    return person.pk if drives else None
