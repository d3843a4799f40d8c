"""Loads: the desk's records, and what drivers and dispatch say of them at the dock."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils.translation import get_language
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer
from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Word
from common.api.views import expected_version, takes
from common.measures import number
from common.messages import Message
from defects.api.loads.bodies import (
    BoxCheckBody,
    CancelLoadBody,
    DeliverBody,
    LoadBody,
    LoadChange,
    PutBody,
    SealBody,
    SealDecisionBody,
    TransloadBody,
)
from defects.api.weights.tickets import ScaleTicketAnswer, ScaleTicketBody
from defects.enums import TemperatureClass
from defects.models import Load
from defects.rules.loads import product_of
from defects.selectors.loads.loads import in_state, load_key, load_rows, load_state, seal_waits
from defects.services.loads.loading import (
    check_before_loading,
    compare_seal,
    decide_seal,
    deliver_load,
    put_into_trailer,
    transload,
)
from defects.services.loads.loads import cancel_load, edit_load, record_load
from defects.services.weights import weigh_load
from defects.transitions import DISPATCH, LOADS
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitShort
from fleet.enums import COOLING_MODES
from fleet.models.base import choices


class LoadFilters(StrictFilterSet):
    """By state, by the trailer they are in or planned for, and by what they need of the box."""

    state = filters.ChoiceFilter(choices=[(state, state) for state in LOADS.states], method="by_state")
    open = OpenFilter(Q(delivered_at__isnull=True, cancelled_at__isnull=True))
    trailer = UnitRefFilter("trailer")
    temperature_class = filters.ChoiceFilter(choices=choices(TemperatureClass))
    since, until = within("recorded_at")

    def by_state(self, rows: QuerySet[Load], _name: str, value: str) -> QuerySet[Load]:
        return in_state(rows, value)


class LoadTemperatureAnswer(Answer):
    """How the air about a load kept to its range since loading: minutes, and °F · min outside it; defrost left out."""

    degree_min: int
    longest_min: int = Field(description="the longest time outside; more than the carrier allows puts it at risk")
    longest_until: datetime | None
    known_min: int = Field(description="minutes of which readings tell")
    computed_at: datetime


class OverweightPermitAnswer(Answer):
    """A State's permit to weigh more than the limits; null is a weight that it does not raise."""

    number: str
    us_state: str
    starts_on: date
    ends_on: date
    axle_lb: int | None
    tandem_lb: int | None
    group_lb: int | None
    gross_lb: int | None

    @classmethod
    def of_stored(cls, permit: Mapping[str, Any]) -> Self:
        days = {name: date.fromisoformat(permit[name]) for name in ("starts_on", "ends_on")}
        return cls(**{**permit, **days})


class LoadAnswer(Answer):
    """One load; temperatures in °F."""

    id: UUID
    number: str
    state: Annotated[str, Word(LOADS.states)] = Field(description="Planned, loaded, delivered or cancelled.")
    temperature_class: Annotated[str, Word(TemperatureClass)]
    food: bool
    setpoint_f: Decimal | None
    lowest_f: Decimal | None
    highest_f: Decimal | None
    mode: Annotated[str, Word(COOLING_MODES, empty=True)]
    weight_lb: int | None
    product_f: Decimal | None = Field(description="the product's own temperature as it was loaded")
    product_says: str = Field(description="what was measured and ordered, where it was loaded too warm or too cold")
    doors_opened_at: datetime | None
    doors_closed_at: datetime | None
    seal: str
    pre_loaded: bool
    last_cargo: str
    washout: str
    us_states: list[str]
    overweight_permits: list[OverweightPermitAnswer]
    trailer: UnitShort | None
    also_in_trailer: list[str] = Field(description="numbers of other loads that lie in its trailer")
    pre_load_checked_at: datetime | None
    loaded_at: datetime | None
    seal_checked_at: datetime | None
    seal_checked_by: PersonShort | None
    seal_read: str = Field(description="what was read on the doors where it was another seal")
    seal_read_at: datetime | None
    seal_read_by: PersonShort | None
    seal_says: str = Field(description="what to do while dispatch has not decided over the seal")
    seal_decision: str
    seal_decided_at: datetime | None
    seal_decided_by: PersonShort | None
    temperature: LoadTemperatureAnswer | None = Field(description="null before a reading of its cooling unit")
    scale_tickets: list[ScaleTicketAnswer] = Field(description="newest first")
    delivered_at: datetime | None
    cancelled_at: datetime | None
    cancel_reason: str
    recorded_at: datetime
    recorded_by: PersonShort
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, load: Load, roles: frozenset[str]) -> Self:
        """Return a load with what somebody of these roles may do with it now."""
        state = load_state(load)
        says = Message("seal_differs", {"seal_read": load.seal_read}) if seal_waits(load) else None
        return cls.of(
            load,
            state=state,
            temperature=getattr(load, "temperature", None),
            scale_tickets=[ScaleTicketAnswer.of_ticket(ticket) for ticket in load.scale_tickets.all()],
            overweight_permits=[OverweightPermitAnswer.of_stored(permit) for permit in load.overweight_permits],
            seal_says=_said(says),
            product_says=_said(_of_product(load)),
            allowed_actions=LOADS.allowed_actions(state, roles),
        )


def _of_product(load: Load) -> Message | None:
    found = product_of(load)
    if found is None:
        return None
    code = "at_risk_product_too_warm" if found.too_warm else "at_risk_product_too_cold"
    return Message(code, {"product_f": number(found.product_f), "limit_f": number(found.limit_f)})


def _said(says: Message | None) -> str:
    return "" if says is None else messages.render(says, get_language() or "en")


MOVES = (
    "check_before_loading",
    "put_into_trailer",
    "transload",
    "compare_seal",
    "weigh",
    "decide_seal",
    "deliver",
    "cancel",
)


class LoadViewSet(ListMixin, ReadMixin):
    """Loads, newest first.

    One is named by its number or key. What the dock says needs no If-Match: it is what happened.
    """

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "create": DISPATCH,
        "partial_update": LOADS.roles_for("edit"),
        **{move: LOADS.roles_for(move) for move in MOVES},
    }
    if_match = frozenset({"partial_update", "cancel", "decide_seal"})
    filterset_class = LoadFilters
    ordering = ("-recorded_at",)
    shows = LoadAnswer
    tag = "loads"
    queryset = load_rows()

    def one(self, name: str) -> Load:
        return load_rows().get(pk=load_key(name))

    def answer_of(self, row: Any) -> LoadAnswer:
        return LoadAnswer.for_roles(row, self.caller_roles)

    @takes(LoadBody)
    def create(self, request: ServiceRequest, body: LoadBody) -> Response:
        """Record what is to be carried."""
        load = record_load(facts=body.facts(), actor=request.person, now=request.now)
        return self.created(self.get_queryset().get(pk=load.pk), f"{request.path}/{load.pk}")

    @takes(LoadChange)
    def partial_update(self, request: ServiceRequest, body: LoadChange, ref: str) -> Response:
        """Change what was ordered, as far as it is given, until the load is delivered."""
        return self._moved(edit_load, ref, version=expected_version(request), changes=body.facts())

    @takes(BoxCheckBody)
    def check_before_loading(self, request: ServiceRequest, body: BoxCheckBody, ref: str) -> Response:
        """Say that the trailer's box was checked before loading.

        What cannot be seen once it is sealed may rest on this check.
        """
        trailer = unit_in_body(body.trailer, "/trailer")
        return self._moved(check_before_loading, ref, trailer=trailer, checked_at=body.checked_at or request.now)

    @takes(PutBody)
    def put_into_trailer(self, request: ServiceRequest, body: PutBody, ref: str) -> Response:
        """Say that the load is in a trailer; refused for cold freight where a fault bars it."""
        trailer = unit_in_body(body.trailer, "/trailer")
        loaded_at = body.loaded_at or request.now
        return self._moved(put_into_trailer, ref, trailer=trailer, loaded_at=loaded_at, measured=body.measured)

    @takes(TransloadBody)
    def transload(self, request: ServiceRequest, body: TransloadBody, ref: str) -> Response:
        """Say that the load was moved into another trailer; refused as putting it into that trailer is."""
        trailer = unit_in_body(body.trailer, "/trailer")
        return self._moved(transload, ref, trailer=trailer, transloaded_at=body.transloaded_at or request.now)

    @takes(SealBody)
    def compare_seal(self, request: ServiceRequest, body: SealBody, ref: str) -> Response:
        """Compare the seal on the doors with the papers.

        Another one is kept and told to dispatch, who decides; `seal_says` is for whoever read it.
        """
        return self._moved(compare_seal, ref, seal=body.seal, compared_at=body.compared_at or request.now)

    @takes(ScaleTicketBody)
    def weigh(self, request: ServiceRequest, body: ScaleTicketBody, ref: str) -> Response:
        """Record a scale ticket.

        From a driver one that does not add up is kept and flagged; from a desk it is refused.
        """
        tractor = unit_in_body(body.tractor, "/tractor")
        return self._moved(weigh_load, ref, weighing=body.weighing(tractor, request.now))

    @takes(SealDecisionBody)
    def decide_seal(self, request: ServiceRequest, body: SealDecisionBody, ref: str) -> Response:
        """Decide over a seal that is not the one on the papers."""
        return self._moved(decide_seal, ref, version=expected_version(request), decision=body.decision)

    @takes(DeliverBody)
    def deliver(self, request: ServiceRequest, body: DeliverBody, ref: str) -> Response:
        """Say that the load is out of its trailer."""
        return self._moved(deliver_load, ref, delivered_at=body.delivered_at or request.now)

    @takes(CancelLoadBody)
    def cancel(self, request: ServiceRequest, body: CancelLoadBody, ref: str) -> Response:
        """Call a planned load off."""
        return self._moved(cancel_load, ref, version=expected_version(request), reason=body.reason)

    def _moved(self, move: Callable[..., Load], ref: str, **given: Any) -> Response:
        """Make a move and show the load as it is then."""
        request = service_request(self.request)
        load = move(load_id=load_key(ref), actor=request.person, now=request.now, **given)
        return self.shown(self.get_queryset().get(pk=load.pk))
