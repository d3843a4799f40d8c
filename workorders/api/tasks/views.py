"""Repair tasks: lists, one task, and its moves."""

from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from rest_framework.response import Response

from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.views import takes, takes_nothing
from fleet.api.requests.authentication import ServiceRequest, person_behind
from fleet.api.requests.filters import PersonRefFilter, SiteRefFilter, UnitRefFilter
from fleet.enums import Scope
from fleet.models.base import choices
from workorders.api.requests import READERS, MovesMixin, OrderRefFilter
from workorders.api.tasks.answers import TaskAnswer
from workorders.api.tasks.bodies import CancelBody, FinishBody, NotReproducedBody, PauseTaskBody, TaskAssignBody
from workorders.enums import ACTIVE_TASK_STATES, TaskState
from workorders.models import RepairTask
from workorders.selectors.orders.listing import with_task_parts
from workorders.selectors.orders.visible import tasks_in_hands_of, tasks_visible_to
from workorders.services.orders.assigning import assign_task
from workorders.services.tasks.tasks import cancel_task, finish_task, mark_not_reproduced, pause_task, start_task
from workorders.transitions import TASK_TABLE


class TaskFilter(StrictFilterSet):
    """Repair tasks."""

    state = filters.MultipleChoiceFilter(choices=choices(TaskState))
    open = OpenFilter(Q(state__in=ACTIVE_TASK_STATES))
    order = OrderRefFilter("order")
    unit = UnitRefFilter("order__unit")
    site = SiteRefFilter("order__site__code")
    lead = PersonRefFilter()
    since, until = within("opened_at")
    scope = filters.ChoiceFilter(choices=choices(Scope))


MOVES = ("assign", "start", "pause", "finish", "not_reproduced", "cancel")


class TaskViewSet(MovesMixin):
    """Repair tasks, newest first; a driver names a unit."""

    roles = {"list": READERS, "retrieve": READERS, **{move: TASK_TABLE.roles_for(move) for move in MOVES}}
    if_match = frozenset(MOVES)
    filterset_class = TaskFilter
    ordering = ("-opened_at",)
    shows = TaskAnswer
    moved_as = "task"
    unknown = "task_unknown"
    tag = "repair-tasks"

    def get_queryset(self) -> QuerySet[RepairTask]:
        return with_task_parts(self.visible(lambda person: tasks_visible_to(person, now=self.instant), RepairTask))

    def in_hands(self) -> QuerySet[RepairTask]:
        return tasks_in_hands_of(person_behind(self.request), now=self.instant)

    def fresh(self, key: UUID) -> RepairTask:
        return with_task_parts(RepairTask.objects.filter(pk=key)).get()

    def answer_of(self, row: Any) -> TaskAnswer:
        return TaskAnswer.for_reader(row, person_behind(self.request), self.catalogue)

    @takes(TaskAssignBody)
    def assign(self, _request: ServiceRequest, body: TaskAssignBody, key: UUID) -> Response:
        """Give the task to a qualified lead, with helpers under that person."""
        return self.moved(assign_task, key, lead=body.lead, helpers=body.helpers)

    @takes_nothing
    def start(self, _request: ServiceRequest, key: UUID) -> Response:
        """Begin the task, and its order and defect with it.

        Until it is done, not reproduced, cancelled or paused as fit to move, it bars the unit from moving; on a cooling
        unit, from new cold freight alone.
        """
        return self.moved(start_task, key)

    @takes(PauseTaskBody)
    def pause(self, request: ServiceRequest, body: PauseTaskBody, key: UUID) -> Response:
        """Sign that the unit is fit to move with this undone; until it goes on, the work does not bar."""
        signing = body.signature.signing(request.person)
        given = {"undone": body.undone, "cold_freight_too": body.cold_freight_too}
        return self.moved(pause_task, key, **given, signing=signing)

    @takes(FinishBody)
    def finish(self, request: ServiceRequest, body: FinishBody, key: UUID) -> Response:
        """Finish the task with cause, correction, and what was measured afterwards."""
        return self.moved(finish_task, key, completion=body.completion(request.now))

    @takes(NotReproducedBody)
    def not_reproduced(self, _request: ServiceRequest, body: NotReproducedBody, key: UUID) -> Response:
        """Say that the fault did not show itself; the defect stays open and a road test is planned."""
        return self.moved(mark_not_reproduced, key, conditions=body.conditions, road_test_at=body.road_test_at)

    @takes(CancelBody)
    def cancel(self, _request: ServiceRequest, body: CancelBody, key: UUID) -> Response:
        """Drop a task that nothing needs any more."""
        return self.moved(cancel_task, key, reason=body.reason)
