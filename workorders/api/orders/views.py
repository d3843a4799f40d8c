"""Repair orders: lists, one order, opening one at the desk, and its moves."""

from datetime import datetime
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import InstantFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Instant, Numbered, Text, Uuid, Word
from common.api.views import takes, takes_nothing
from defects.api.defects.references import defects_in_body
from defects.enums import Severity
from defects.rules.catalogue.catalogue import Catalogue
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, person_behind
from fleet.api.requests.filters import PersonRefFilter, SiteRefFilter, UnitRefFilter
from fleet.api.requests.references import site_in_body, unit_in_body
from fleet.api.units.short import UnitRef, UnitShort
from fleet.enums import Scope
from fleet.models import Person
from fleet.models.base import choices
from workorders.api.requests import READERS, MovesMixin
from workorders.api.tasks.answers import TaskAnswer
from workorders.api.tasks.bodies import CancelBody
from workorders.enums import ACTIVE_ORDER_STATES, OrderState, WaitingFor
from workorders.models import RepairOrder
from workorders.selectors.orders.actions import order_actions
from workorders.selectors.orders.listing import order_named, with_order_parts
from workorders.selectors.orders.visible import orders_in_hands_of, orders_visible_to
from workorders.services.orders.assigning import assign_order
from workorders.services.orders.ending import cancel_order, close_order
from workorders.services.orders.expected_time import set_expected_time
from workorders.services.orders.opening import Job, open_order
from workorders.services.orders.progress import mark_work_done, resume_order, start_order, wait_order
from workorders.transitions import FOREMAN, ORDER_TABLE


class OrderFilter(StrictFilterSet):
    """Repair orders."""

    state = filters.MultipleChoiceFilter(choices=choices(OrderState))
    open = OpenFilter(Q(state__in=ACTIVE_ORDER_STATES))
    unit = UnitRefFilter("unit")
    site = SiteRefFilter("site__code")
    assigned_to = PersonRefFilter()
    waiting_for = filters.ChoiceFilter(choices=choices(WaitingFor))
    worst_severity = filters.MultipleChoiceFilter(choices=choices(Severity))
    expected_by = InstantFilter("expected_at", lookup_expr="lte")
    since, until = within("opened_at")


Reason = Annotated[str, Text(1000, multiline=True)]


class JobBody(Body):
    """A piece of work that no defect asks for."""

    complaint: Annotated[str, Text(2000, multiline=True)]
    scope: Scope = ABSENT


class OpenBody(Body):
    """Open defects of one unit, other jobs on it, or both."""

    unit: UnitRef
    defects: Annotated[list[Numbered], Field(max_length=100)] = []
    jobs: Annotated[list[JobBody], Field(max_length=100)] = []

    @property
    def given_jobs(self) -> list[Job]:
        return [Job(job.complaint, job.scope or "") for job in self.jobs]


class AssignBody(Body):
    """Who answers for the order; with a site's code, the order moves to that shop."""

    assigned_to: Uuid
    site: Annotated[str, Text(24)] = ABSENT


class WaitBody(Body):
    """What the work waits for."""

    waiting_for: WaitingFor
    reason: Reason = ""


class ExpectedBody(Body):
    """When it is expected to be done."""

    expected_at: Instant
    reason: Reason = ""


class OrderAnswer(Answer):
    """One order with its tasks. `worst_severity` is that of its open defects; null when none is open."""

    id: UUID
    number: int
    unit: UnitShort
    site: str | None
    state: Annotated[str, Word(OrderState)]
    waiting_for: Annotated[str, Word(WaitingFor, empty=True)]
    worst_severity: Annotated[str, Word(Severity)] | None
    assigned_to: PersonShort | None
    opened_at: datetime
    opened_by: PersonShort
    expected_at: datetime | None
    work_done_at: datetime | None
    closed_at: datetime | None
    cancel_reason: str
    tasks: list[TaskAnswer]
    version: int
    allowed_actions: list[str] = Field(description="what the caller may do with the order now")

    @classmethod
    def for_reader(cls, order: RepairOrder, reader: Person, catalogue: Catalogue) -> Self:
        """Return an order as a person reads it, in that person's language."""
        tasks = order.tasks.all()
        return cls.of(
            order,
            site=order.site and order.site.code,
            tasks=[TaskAnswer.for_reader(task, reader, catalogue) for task in tasks],
            allowed_actions=order_actions(order, tasks, reader),
        )


MOVES = ("assign", "start", "wait", "resume", "work_done", "close", "cancel", "set_expected_time")


class OrderViewSet(MovesMixin):
    """Repair orders, newest first; a driver names a unit.

    One is named by its number or key, and shown with its tasks.
    """

    roles = {
        "list": READERS,
        "retrieve": READERS,
        "create": FOREMAN,
        **{move: ORDER_TABLE.roles_for(move) for move in MOVES},
    }
    if_match = frozenset(MOVES)
    filterset_class = OrderFilter
    ordering = ("-opened_at",)
    shows = OrderAnswer
    moved_as = "order"
    unknown = "order_unknown"
    tag = "repair-orders"

    def get_queryset(self) -> QuerySet[RepairOrder]:
        rows = self.visible(lambda person: orders_visible_to(person, now=self.instant), RepairOrder)
        return with_order_parts(rows)

    def in_hands(self) -> QuerySet[RepairOrder]:
        return orders_in_hands_of(person_behind(self.request), now=self.instant)

    def named(self, name: str) -> Q:
        """Return the condition that an order is the one of a number or key."""
        return order_named(name)

    def fresh(self, key: UUID) -> RepairOrder:
        return with_order_parts(RepairOrder.objects.filter(pk=key)).get()

    def answer_of(self, row: Any) -> OrderAnswer:
        return OrderAnswer.for_reader(row, person_behind(self.request), self.catalogue)

    @takes(OpenBody)
    def create(self, request: ServiceRequest, body: OpenBody) -> Response:
        """Put defects and other jobs on the unit's active order; one is opened where there is none."""
        order = open_order(
            unit=unit_in_body(body.unit, "/unit"),
            defects=defects_in_body(body.defects, "/defects"),
            jobs=body.given_jobs,
            actor=request.person,
            now=request.now,
        )
        return self.created(self.fresh(order.pk), f"{request.path}/{order.pk}")

    @takes(AssignBody)
    def assign(self, _request: ServiceRequest, body: AssignBody, ref: str) -> Response:
        """Give the order, and its tasks that nobody leads, to somebody qualified for all of them."""
        return self.moved(assign_order, ref, assigned_to=body.assigned_to, site=site_in_body(body.site, "/site"))

    @takes_nothing
    def start(self, _request: ServiceRequest, ref: str) -> Response:
        """Begin the work."""
        return self.moved(start_order, ref)

    @takes(WaitBody)
    def wait(self, _request: ServiceRequest, body: WaitBody, ref: str) -> Response:
        """Put the work off until parts come, an outside shop is done, or a road test is driven."""
        return self.moved(wait_order, ref, waiting_for=body.waiting_for, reason=body.reason)

    @takes_nothing
    def resume(self, _request: ServiceRequest, ref: str) -> Response:
        """Go on with the work."""
        return self.moved(resume_order, ref)

    @takes_nothing
    def work_done(self, _request: ServiceRequest, ref: str) -> Response:
        """Say that the work is done; certificates are another act."""
        return self.moved(mark_work_done, ref)

    @takes_nothing
    def close(self, _request: ServiceRequest, ref: str) -> Response:
        """End an order whose work is done and whose defects are all certified repaired."""
        return self.moved(close_order, ref)

    @takes(CancelBody)
    def cancel(self, _request: ServiceRequest, body: CancelBody, ref: str) -> Response:
        """Call the order off; its open defects are reported again, without an order."""
        return self.moved(cancel_order, ref, reason=body.reason)

    @takes(ExpectedBody)
    def set_expected_time(self, _request: ServiceRequest, body: ExpectedBody, ref: str) -> Response:
        """Promise a time, or move it, which dispatch is told of."""
        return self.moved(set_expected_time, ref, expected_at=body.expected_at, reason=body.reason)
