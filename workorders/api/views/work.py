"""Labor entries and outside repairs: telling them, reading them."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.errors import NotFound
from fleet.api.parsed import NothingBody, parsed
from fleet.api.requests import ServiceRequest
from fleet.enums import Role
from workorders.api.base import READERS, ShopViewSet
from workorders.api.filters import LaborFilter, OutsideFilter
from workorders.api.serializers.work import LaborBody, LaborOut, OutsideBody, OutsideOut, PauseBody
from workorders.models import LaborEntry, OutsideRepair
from workorders.selectors.rows import with_labor_parts, with_outside_parts
from workorders.selectors.visible import (
    labor_visible_to,
    orders_visible_to,
    outside_repairs_visible_to,
    tasks_in_hands_of,
)
from workorders.services.labor import start_labor, stop_labor
from workorders.services.outside import record_outside_repair
from workorders.transitions import SHOP


class LaborViewSet(ShopViewSet):
    """Labor, newest first. Facts about work done, so no version is asked to end one."""

    roles = {
        "list": SHOP | {Role.AUDITOR, Role.COMPLIANCE},
        "retrieve": SHOP | {Role.AUDITOR, Role.COMPLIANCE},
        "create": SHOP,
        "stop": SHOP,
        "pause": SHOP,
    }
    problem_statuses = {"create": frozenset({404})}
    filterset_class = LaborFilter
    ordering = ("-started_at",)
    output = LaborOut
    tag = "labor-entries"

    def get_queryset(self) -> QuerySet[LaborEntry]:
        """Return the labor that the caller may read."""
        return with_labor_parts(self.visible(lambda person: labor_visible_to(person, now=self.instant), LaborEntry))

    @extend_schema(operation_id="labor_entries_list", responses=LaborOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Labor, newest first."""
        return self.listed()

    @extend_schema(operation_id="labor_entries_read", responses=LaborOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One entry."""
        return self.shown(self.row(self.get_queryset(), "labor_unknown", pk=key))

    @extend_schema(operation_id="labor_entries_start", request=LaborBody, responses={201: LaborOut})
    def create(self, request: ServiceRequest) -> Response:
        """Let time run on a started task, as its lead or as a helper under the lead."""
        body = parsed(LaborBody, request).validated_data
        if not tasks_in_hands_of(request.person, now=request.now).filter(pk=body["task"]).exists():
            raise NotFound("task_unknown")
        given = {"task": body["task"], "role": body["role"], "person": body.get("person")}
        entry = start_labor(**given, actor=request.person, now=request.now)
        return self.created(entry, f"{request.path}/{entry.pk}")

    @extend_schema(operation_id="labor_entries_stop", request=NothingBody, responses=LaborOut)
    def stop(self, request: ServiceRequest, key: UUID) -> Response:
        """End an entry."""
        parsed(NothingBody, request)
        return self._end(request, key, "")

    @extend_schema(operation_id="labor_entries_pause", request=PauseBody, responses=LaborOut)
    def pause(self, request: ServiceRequest, key: UUID) -> Response:
        """Break off, with the cause; going on is another entry."""
        return self._end(request, key, parsed(PauseBody, request).validated_data["cause"])

    def _end(self, request: ServiceRequest, key: UUID, cause: str) -> Response:
        self.row(self.get_queryset(), "labor_unknown", pk=key)
        stop_labor(entry=key, cause=cause, actor=request.person, now=request.now)
        return self.shown(self.row(self.get_queryset(), "labor_unknown", pk=key))


class OutsideRepairViewSet(ShopViewSet):
    """Repairs by outside firms, newest first. Told from the road, by a driver too."""

    roles = {"list": READERS, "retrieve": READERS, "create": SHOP | {Role.DRIVER}}
    filterset_class = OutsideFilter
    ordering = ("-recorded_at",)
    output = OutsideOut
    tag = "outside-repairs"

    def get_queryset(self) -> QuerySet[OutsideRepair]:
        """Return the outside repairs that the caller may read."""
        rows = self.visible(lambda person: outside_repairs_visible_to(person, now=self.instant), OutsideRepair)
        return with_outside_parts(rows)

    @extend_schema(operation_id="outside_repairs_list", responses=OutsideOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Outside repairs, newest first; a driver names a unit."""
        self.refuse_browsing(request)
        return self.listed()

    @extend_schema(operation_id="outside_repairs_read", responses=OutsideOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One outside repair."""
        return self.shown(self.row(self.get_queryset(), "outside_repair_unknown", pk=key))

    @extend_schema(operation_id="outside_repairs_record", request=OutsideBody, responses={201: OutsideOut})
    def create(self, request: ServiceRequest) -> Response:
        """Take in a repair by an outside firm; its tasks are done, certificates are another act."""
        body = parsed(OutsideBody, request)
        order = body.validated_data["order"]
        if not orders_visible_to(request.person, now=request.now).filter(pk=order).exists():
            raise NotFound("order_unknown")
        made = record_outside_repair(order=order, given=body.given(request.now), actor=request.person, now=request.now)
        return self.created(
            with_outside_parts(OutsideRepair.objects.filter(pk=made.pk)).get(), f"{request.path}/{made.pk}"
        )
