"""Telling defects which work is under way, so that its answers to dispatch see what stands in the shop."""

from collections.abc import Iterable
from datetime import datetime

from defects.services.defects.repair import Work, note_work_begun, note_work_ended, note_work_paused
from workorders.enums import TaskState
from workorders.models import RepairTask


def notify_of_work(tasks: Iterable[RepairTask], *, now: datetime) -> None:
    """Note of each task, saved in its new state and given with its order, whether work on it is under way."""
    ended = []
    for task in tasks:
        if task.state == TaskState.STARTED:
            order = task.order
            work = Work(order.unit_id, task.pk, order.pk, order.number, task.complaint, order.expected_at)
            note_work_begun(work, now=now)
        elif task.state == TaskState.PAUSED:
            note_work_paused(task.pk, undone=task.undone, cold_freight_too=task.cold_freight_too)
        else:
            ended.append(task.pk)
    if ended:
        note_work_ended(ended)
