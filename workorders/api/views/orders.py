"""Repair orders: lists, one order, opening one at the desk, and its moves."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from common.errors import NotFound
from fleet.api.names import site_in_body, unit_in_body
from fleet.api.parsed import NothingBody, parsed
from fleet.api.requests import ServiceRequest
from workorders.api.base import READERS, ShopViewSet
from workorders.api.filters import OrderFilter
from workorders.api.serializers.orders import AssignBody, ExpectedBody, OpenBody, OrderOut, WaitBody
from workorders.api.serializers.tasks import CancelBody
from workorders.models import RepairOrder
from workorders.selectors.rows import order_named, with_order_parts
from workorders.selectors.visible import orders_in_hands_of, orders_visible_to
from workorders.services.assigning import assign_order
from workorders.services.desk import open_order
from workorders.services.ending import cancel_order, close_order
from workorders.services.progress import mark_work_done, resume_order, start_order, wait_order
from workorders.services.promising import set_expected_time
from workorders.transitions import FOREMAN, ORDER_TABLE, roles_for

MOVES = ("assign", "start", "wait", "resume", "work_done", "close", "cancel", "set_expected_time")


class OrderViewSet(ShopViewSet):
    """Repair orders, newest first; one by its number or key."""

    roles = {
        "list": READERS,
        "retrieve": READERS,
        "create": FOREMAN,
        **{move: roles_for(ORDER_TABLE, move) for move in MOVES},
    }
    if_match = frozenset(MOVES)
    filterset_class = OrderFilter
    ordering = ("-opened_at",)
    output = OrderOut
    tag = "repair-orders"

    def get_queryset(self) -> QuerySet[RepairOrder]:
        """Return the orders that the caller may read."""
        rows = self.visible(lambda person: orders_visible_to(person, now=self.instant), RepairOrder)
        return with_order_parts(rows)

    @extend_schema(operation_id="repair_orders_list", responses=OrderOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Orders, newest first; a driver names a unit."""
        self.refuse_browsing(request)
        return self.listed()

    @extend_schema(operation_id="repair_orders_read", responses=OrderOut)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One order with its tasks."""
        order = self.get_queryset().filter(order_named(ref)).first()
        if order is None:
            raise NotFound("order_unknown")
        return self.shown(order)

    @extend_schema(operation_id="repair_orders_open", request=OpenBody, responses={201: OrderOut})
    def create(self, request: ServiceRequest) -> Response:
        """Put defects and other jobs on the unit's standing order; one is opened where there is none."""
        body = parsed(OpenBody, request)
        order = open_order(
            unit=unit_in_body(body.validated_data["unit"], "/unit"),
            defects=body.validated_data.get("defects", ()),
            jobs=body.given_jobs,
            actor=request.person,
            now=request.now,
        )
        return self.created(self._fresh(order), f"{request.path}/{order.pk}")

    @extend_schema(operation_id="repair_orders_assign", request=AssignBody, responses=OrderOut)
    def assign(self, request: ServiceRequest, ref: str) -> Response:
        """Give the order, and its tasks that nobody leads, to somebody qualified for all of them."""
        body = parsed(AssignBody, request).validated_data
        site = site_in_body(body.get("site"), "/site")
        order = assign_order(**self._named(request, ref), assigned_to=body["assigned_to"], site=site)
        return self.shown(self._fresh(order))

    @extend_schema(operation_id="repair_orders_start", request=NothingBody, responses=OrderOut)
    def start(self, request: ServiceRequest, ref: str) -> Response:
        """Begin the work."""
        parsed(NothingBody, request)
        return self.shown(self._fresh(start_order(**self._named(request, ref))))

    @extend_schema(operation_id="repair_orders_wait", request=WaitBody, responses=OrderOut)
    def wait(self, request: ServiceRequest, ref: str) -> Response:
        """Put the work off until parts come, an outside shop is done, or a road test is driven."""
        body = parsed(WaitBody, request).validated_data
        order = wait_order(**self._named(request, ref), waiting_for=body["waiting_for"], reason=body.get("reason", ""))
        return self.shown(self._fresh(order))

    @extend_schema(operation_id="repair_orders_resume", request=NothingBody, responses=OrderOut)
    def resume(self, request: ServiceRequest, ref: str) -> Response:
        """Go on with the work."""
        parsed(NothingBody, request)
        return self.shown(self._fresh(resume_order(**self._named(request, ref))))

    @extend_schema(operation_id="repair_orders_work_done", request=NothingBody, responses=OrderOut)
    def work_done(self, request: ServiceRequest, ref: str) -> Response:
        """Say that the work is done; certificates are another act."""
        parsed(NothingBody, request)
        return self.shown(self._fresh(mark_work_done(**self._named(request, ref))))

    @extend_schema(operation_id="repair_orders_close", request=NothingBody, responses=OrderOut)
    def close(self, request: ServiceRequest, ref: str) -> Response:
        """End an order whose work is done and whose defects are all certified repaired."""
        parsed(NothingBody, request)
        return self.shown(self._fresh(close_order(**self._named(request, ref))))

    @extend_schema(operation_id="repair_orders_cancel", request=CancelBody, responses=OrderOut)
    def cancel(self, request: ServiceRequest, ref: str) -> Response:
        """Call the order off; its open defects are reported again, without an order."""
        reason = parsed(CancelBody, request).validated_data["reason"]
        return self.shown(self._fresh(cancel_order(**self._named(request, ref), reason=reason)))

    @extend_schema(operation_id="repair_orders_set_expected_time", request=ExpectedBody, responses=OrderOut)
    def set_expected_time(self, request: ServiceRequest, ref: str) -> Response:
        """Promise a time, or move it, which dispatch is told of."""
        body = parsed(ExpectedBody, request).validated_data
        order = set_expected_time(
            **self._named(request, ref), expected_at=body["expected_at"], reason=body.get("reason", "")
        )
        return self.shown(self._fresh(order))

    def _named(self, request: ServiceRequest, ref: str) -> dict[str, Any]:
        """What every move is told: the order, if it is in the caller's hands, its version, who and when."""
        mine = orders_in_hands_of(request.person, now=request.now).filter(order_named(ref))
        key = mine.values_list("pk", flat=True).first()
        if key is None:
            raise NotFound("order_unknown")
        return {"order": key, "version": expected_version(request), "actor": request.person, "now": request.now}

    def _fresh(self, order: RepairOrder) -> RepairOrder:
        """The order as it is now, also where the move took it out of the caller's hands."""
        return with_order_parts(RepairOrder.objects.filter(pk=order.pk)).get()
