"""The closed vocabularies of the shop. No behaviour lives here."""

from enum import StrEnum


class OrderState(StrEnum):
    """How far a repair order is."""

    OPEN = "open"
    ASSIGNED = "assigned"
    IN_PROGRESS = "in_progress"
    WAITING = "waiting"
    WORK_DONE = "work_done"
    CLOSED = "closed"
    CANCELLED = "cancelled"


ACTIVE_ORDER_STATES = (
    OrderState.OPEN,
    OrderState.ASSIGNED,
    OrderState.IN_PROGRESS,
    OrderState.WAITING,
    OrderState.WORK_DONE,
)


class WaitingFor(StrEnum):
    """What an order waits for."""

    PARTS = "parts"
    OUTSIDE = "outside"
    ROAD_TEST = "road_test"


class TaskState(StrEnum):
    """How far one piece of work is."""

    OPEN = "open"
    STARTED = "started"
    PAUSED = "paused"
    DONE = "done"
    NOT_REPRODUCED = "not_reproduced"
    CANCELLED = "cancelled"


ACTIVE_TASK_STATES = (TaskState.OPEN, TaskState.STARTED, TaskState.PAUSED, TaskState.NOT_REPRODUCED)


class LaborRole(StrEnum):
    """In which part a person works on a task."""

    LEAD = "lead"
    HELPER = "helper"
