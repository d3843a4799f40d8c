"""How far an order is, told by its tasks and by the defects they were opened for. Pure; states are plain words."""

from collections.abc import Collection
from dataclasses import dataclass

STANDING_TASKS = frozenset({"open", "started", "paused", "not_reproduced"})
REPAIRED_DEFECTS = frozenset({"certified", "closed", "entered_in_error"})
"""Defects that ask nothing more of the shop: certified repaired, closed after that, or never there."""


@dataclass(frozen=True, slots=True)
class TaskFact:
    """One task: its state, and the state of its defect, None for work that no defect asked for."""

    state: str
    defect: str | None = None


def all_settled(tasks: Collection[TaskFact]) -> bool:
    """Whether no work is left: every task done or cancelled, and at least one of them done."""
    return any(task.state == "done" for task in tasks) and not any(task.state in STANDING_TASKS for task in tasks)


def nothing_left(tasks: Collection[TaskFact]) -> bool:
    """Whether every task was cancelled, so that the order has no work and never had."""
    return bool(tasks) and all(task.state == "cancelled" for task in tasks)


def may_close(tasks: Collection[TaskFact]) -> bool:
    """Whether the order may end: the work is done, and no defect behind it is still unrepaired.

    A defect left alone for now (`deferred`) is not repaired: its order stays open.
    """
    return all_settled(tasks) and all(
        task.defect is None or task.defect in REPAIRED_DEFECTS for task in tasks if task.state != "cancelled"
    )


def only_road_tests_left(tasks: Collection[TaskFact]) -> bool:
    """Whether all that stands waits for its fault to show itself again."""
    standing = [task for task in tasks if task.state in STANDING_TASKS]
    return bool(standing) and all(task.state == "not_reproduced" for task in standing)


def is_deferred(defect: str, certificate: str | None) -> bool:
    """Whether a defect is put off by a certificate that stands, also while the shop has begun on it nevertheless."""
    return defect == "deferred" or (defect == "in_repair" and certificate == "repair_unnecessary")
