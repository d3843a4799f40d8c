"""The closed vocabularies of the shop. No behaviour lives here."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class OrderState(TextChoices):
    """How far a repair order is."""

    OPEN = "open", _("open")
    ASSIGNED = "assigned", _("assigned")
    IN_PROGRESS = "in_progress", _("in progress")
    WAITING = "waiting", _("waiting")
    WORK_DONE = "work_done", _("work done")
    CLOSED = "closed", _("closed")
    CANCELLED = "cancelled", _("cancelled")


STANDING_ORDER_STATES = (
    OrderState.OPEN,
    OrderState.ASSIGNED,
    OrderState.IN_PROGRESS,
    OrderState.WAITING,
    OrderState.WORK_DONE,
)


class WaitingFor(TextChoices):
    """What an order waits for."""

    PARTS = "parts", _("parts")
    OUTSIDE = "outside", _("an outside shop")
    ROAD_TEST = "road_test", _("a road test")


class TaskState(TextChoices):
    """How far one piece of work is."""

    OPEN = "open", _("open")
    STARTED = "started", _("started")
    PAUSED = "paused", _("paused as fit to move")
    DONE = "done", _("done")
    NOT_REPRODUCED = "not_reproduced", _("not reproduced")
    CANCELLED = "cancelled", _("cancelled")


STANDING_TASK_STATES = (TaskState.OPEN, TaskState.STARTED, TaskState.PAUSED, TaskState.NOT_REPRODUCED)


class LaborRole(TextChoices):
    """In which part a person works on a task."""

    LEAD = "lead", _("lead")
    HELPER = "helper", _("helper under the lead")
