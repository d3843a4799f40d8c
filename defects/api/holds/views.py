"""Holds: lists, one hold's page, placing one and lifting it."""

from collections.abc import Sequence
from datetime import datetime
from functools import cached_property
from http import HTTPStatus
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import FlagFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Numbered, Text, Word
from common.api.views import expected_version, gives, set_etag, takes
from defects.api.catalogue.in_force import catalogue_for
from defects.api.records import OwnSignature
from defects.enums import DefectState, HoldKind
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.defects import defect_key
from defects.selectors.defects.naming import what_of_defect, what_of_hold
from defects.selectors.holds import defects_under, hold_named, hold_rows, hold_state, hold_version, photo_awaited
from defects.selectors.signing_links import firm_to_confirm
from defects.services.holds.by_person import place_hold
from defects.services.holds.lifting import lift_hold
from defects.transitions import HOLDS, PLACE_HOLD
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.filters import UnitRefsFilter
from fleet.api.requests.references import in_body, unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.enums import HoldState
from fleet.models import Person
from fleet.models.base import choices


class HoldFilters(StrictFilterSet):
    """By unit, kind, whether they were lifted, and whether the lift is flagged."""

    unit = UnitRefsFilter(field_name="unit")
    kind = filters.ChoiceFilter(choices=choices(HoldKind))
    flagged = FlagFilter(method="by_flag")
    open = OpenFilter(Q(lifted_at__isnull=True))
    since, until = within("placed_at")

    def by_flag(self, rows: QuerySet[Hold], _name: str, value: bool) -> QuerySet[Hold]:
        """Those whose lifting a reader should know something of, or all the others."""
        return rows.exclude(lift_flag="") if value else rows.filter(lift_flag="")


class HoldAnswer(Answer):
    """One hold. `defect` is the number of the defect that placed it; a person's or an officer's has none."""

    id: UUID
    number: int
    unit: UnitShort
    kind: Annotated[str, Word(HoldKind)]
    state: Annotated[str, Word(HoldState)]
    defect: int | None
    what: str = Field(description="why it stands, in your language")
    report_number: str = Field(description="the officer's report; empty for the carrier's own")
    placed_at: datetime
    placed_by: PersonShort
    lifted_at: datetime | None
    lifted_by: PersonShort | None
    lift_reason: str
    lift_flag: str = Field(description="what a reader should know of the lifting; empty as a rule")

    @classmethod
    def of_hold(cls, hold: Hold, catalogue: Catalogue, language: str, **more: object) -> Self:
        return cls.of(
            hold,
            state=hold_state(hold),
            defect=None if hold.defect is None else hold.defect.number,
            what=what_of_hold(hold, catalogue, language),
            report_number="" if hold.roadside is None else hold.roadside.report_number,
            **more,
        )


class WaitsForAnswer(Answer):
    """A defect that must be repaired before the hold may be lifted, and shown where that was done on the spot."""

    number: int
    what: str
    state: Annotated[str, Word(DefectState)]
    expected_at: datetime | None
    photo_awaited: bool
    firm_to_confirm: str = Field(description="the signer's firm, until somebody else has confirmed it")

    @classmethod
    def of_defect(cls, defect: Defect, catalogue: Catalogue, language: str) -> Self:
        return cls.of(
            defect,
            what=what_of_defect(defect, catalogue, language),
            photo_awaited=photo_awaited(defect),
            firm_to_confirm=firm_to_confirm(defect),
        )


class HoldPageAnswer(HoldAnswer):
    """One hold, what it waits for, and what you may do now."""

    waits_for: list[WaitsForAnswer]
    version: int
    allowed_actions: list[str]

    @classmethod
    def of_page(cls, hold: Hold, under: Sequence[Defect], catalogue: Catalogue, person: Person) -> Self:
        return cls.of_hold(
            hold,
            catalogue,
            person.language,
            version=hold_version(hold, under),
            waits_for=[WaitsForAnswer.of_defect(defect, catalogue, person.language) for defect in under],
            allowed_actions=HOLDS.allowed_actions(hold_state(hold), person.current_roles),
        )


Reason = Annotated[str, Text(1000, multiline=True)]


class PlaceHoldBody(Body):
    """A hold that a person places. With `defect` it lifts when that is repaired."""

    unit: UnitRef
    reason: Reason
    defect: Numbered = ABSENT


class LiftBody(Body):
    """The foreman's signature. `reason` is needed for a hold that a person placed without a defect."""

    signature: OwnSignature
    reason: Reason = ""


class HoldViewSet(ListMixin):
    """Holds, newest first."""

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "create": PLACE_HOLD,
        "lift": HOLDS.roles_for("lift"),
    }
    if_match = frozenset({"lift"})
    filterset_class = HoldFilters
    ordering = ("-placed_at",)
    shows = HoldAnswer
    queryset = hold_rows()

    @cached_property
    def catalogue(self) -> Catalogue:
        return catalogue_for(service_request(self.request))

    def answer_of(self, row: Any) -> HoldAnswer:
        return HoldAnswer.of_hold(row, self.catalogue, service_request(self.request).person.language)

    @gives(HoldPageAnswer)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One hold, by number or key, with the defects that must be repaired before it may be lifted."""
        return self._page(hold_named(ref), request)

    @gives(HoldPageAnswer)
    @takes(PlaceHoldBody)
    def create(self, request: ServiceRequest, body: PlaceHoldBody) -> Response:
        """Place the carrier's hold for a reason, or for an open defect of the unit; foremen and dispatch are told."""
        hold = place_hold(
            unit_id=unit_in_body(body.unit, "/unit").pk,
            defect_id=in_body(defect_key, body.defect, "/defect") if body.defect else None,
            reason=body.reason,
            actor=request.person,
            now=request.now,
        )
        answer = self._page(hold_named(str(hold.pk)), request, HTTPStatus.CREATED)
        answer.headers["Location"] = f"/api/v1/holds/{hold.number}"
        return answer

    @gives(HoldPageAnswer)
    @takes(LiftBody)
    def lift(self, request: ServiceRequest, body: LiftBody, ref: str) -> Response:
        """Lift it once everything under it is certified repaired, by a foreman who did not do the work."""
        hold = lift_hold(
            hold_id=hold_named(ref).pk,
            version=expected_version(request),
            signing=body.signature.signing(request.person),
            reason=body.reason,
            actor=request.person,
            now=request.now,
        )
        return self._page(hold, request)

    def _page(self, hold: Hold, request: ServiceRequest, status: int = HTTPStatus.OK) -> Response:
        """One hold's page, with the ETag that lifting it asks for."""
        under = defects_under(hold)
        body = HoldPageAnswer.of_page(hold, under, self.catalogue, request.person)
        answer = Response(body, status=status)
        set_etag(answer, hold_version(hold, under))
        return answer
