"""Repair tasks: lists, one task, and its moves."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from common.errors import NotFound
from defects.api.signatures import own_signing
from fleet.api.parsed import NothingBody, parsed
from fleet.api.requests import ServiceRequest
from workorders.api.base import READERS, ShopViewSet
from workorders.api.filters import TaskFilter
from workorders.api.serializers.tasks import (
    CancelBody,
    FinishBody,
    NotReproducedBody,
    PauseTaskBody,
    TaskAssignBody,
    TaskOut,
)
from workorders.models import RepairTask
from workorders.selectors.rows import with_task_parts
from workorders.selectors.visible import tasks_in_hands_of, tasks_visible_to
from workorders.services.assigning import assign_task
from workorders.services.tasks import cancel_task, finish_task, mark_not_reproduced, pause_task, start_task
from workorders.transitions import TASK_TABLE, roles_for

MOVES = ("assign", "start", "pause", "finish", "not_reproduced", "cancel")


class TaskViewSet(ShopViewSet):
    """Repair tasks, newest first."""

    roles = {"list": READERS, "retrieve": READERS, **{move: roles_for(TASK_TABLE, move) for move in MOVES}}
    if_match = frozenset(MOVES)
    filterset_class = TaskFilter
    ordering = ("-opened_at",)
    output = TaskOut
    tag = "repair-tasks"

    def get_queryset(self) -> QuerySet[RepairTask]:
        """Return the tasks that the caller may read."""
        return with_task_parts(self.visible(lambda person: tasks_visible_to(person, now=self.instant), RepairTask))

    @extend_schema(operation_id="repair_tasks_list", responses=TaskOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Tasks, newest first; a driver names a unit."""
        self.refuse_browsing(request)
        return self.listed()

    @extend_schema(operation_id="repair_tasks_read", responses=TaskOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One task."""
        return self.shown(self.row(self.get_queryset(), "task_unknown", pk=key))

    @extend_schema(operation_id="repair_tasks_assign", request=TaskAssignBody, responses=TaskOut)
    def assign(self, request: ServiceRequest, key: UUID) -> Response:
        """Give the task to a qualified lead, with helpers under that person."""
        body = parsed(TaskAssignBody, request).validated_data
        task = assign_task(**self._named(request, key), lead=body["lead"], helpers=body.get("helpers", ()))
        return self.shown(self._fresh(task))

    @extend_schema(operation_id="repair_tasks_start", request=NothingBody, responses=TaskOut)
    def start(self, request: ServiceRequest, key: UUID) -> Response:
        """Begin the task, and its order and defect with it.

        Until it is done, not reproduced, cancelled or paused as fit to move, it bars the unit from moving; on a cooling
        unit, from new cold freight alone.
        """
        parsed(NothingBody, request)
        return self.shown(self._fresh(start_task(**self._named(request, key))))

    @extend_schema(operation_id="repair_tasks_pause", request=PauseTaskBody, responses=TaskOut)
    def pause(self, request: ServiceRequest, key: UUID) -> Response:
        """Sign that the unit is fit to move with this undone; until it goes on, the work does not bar."""
        body = parsed(PauseTaskBody, request).validated_data
        signing = own_signing(body["signature"], request.person)
        task = pause_task(
            **self._named(request, key),
            undone=body["undone"],
            cold_freight_too=body["cold_freight_too"],
            signing=signing,
        )
        return self.shown(self._fresh(task))

    @extend_schema(operation_id="repair_tasks_finish", request=FinishBody, responses=TaskOut)
    def finish(self, request: ServiceRequest, key: UUID) -> Response:
        """Finish the task with cause, correction, and what was measured afterwards."""
        finding = parsed(FinishBody, request).finding(request.now)
        return self.shown(self._fresh(finish_task(**self._named(request, key), finding=finding)))

    @extend_schema(operation_id="repair_tasks_not_reproduced", request=NotReproducedBody, responses=TaskOut)
    def not_reproduced(self, request: ServiceRequest, key: UUID) -> Response:
        """Say that the fault did not show itself; the defect stays open and a road test is planned."""
        body = parsed(NotReproducedBody, request).validated_data
        return self.shown(self._fresh(mark_not_reproduced(**self._named(request, key), **body)))

    @extend_schema(operation_id="repair_tasks_cancel", request=CancelBody, responses=TaskOut)
    def cancel(self, request: ServiceRequest, key: UUID) -> Response:
        """Drop a task that nothing needs any more."""
        reason = parsed(CancelBody, request).validated_data["reason"]
        return self.shown(self._fresh(cancel_task(**self._named(request, key), reason=reason)))

    def _named(self, request: ServiceRequest, key: UUID) -> dict[str, Any]:
        """What every move is told: the task, if it is in the caller's hands, its version, who and when."""
        if not tasks_in_hands_of(request.person, now=request.now).filter(pk=key).exists():
            raise NotFound("task_unknown")
        return {"task": key, "version": expected_version(request), "actor": request.person, "now": request.now}

    def _fresh(self, task: RepairTask) -> RepairTask:
        return with_task_parts(RepairTask.objects.filter(pk=task.pk)).get()
