"""How far an order is, told by its tasks and their defects, and which move it then makes of its own. Pure."""

from collections.abc import Collection
from dataclasses import dataclass

from common.transitions import SYSTEM
from defects.enums import CertificateKind, DefectState
from workorders.enums import ACTIVE_TASK_STATES, TaskState
from workorders.transitions import ORDER_TABLE

REPAIRED_DEFECTS = frozenset({DefectState.CERTIFIED, DefectState.CLOSED, DefectState.ENTERED_IN_ERROR})
"""Defects that ask nothing more of the shop: certified repaired, closed after that, or never there."""


@dataclass(frozen=True, slots=True)
class TaskFact:
    """One task: its state, and the state of its defect, None for work that no defect asked for."""

    state: str
    defect: str | None = None


def all_settled(tasks: Collection[TaskFact]) -> bool:
    """Whether no work is left: every task done or cancelled, and at least one of them done."""
    return any(task.state == TaskState.DONE for task in tasks) and not any(
        task.state in ACTIVE_TASK_STATES for task in tasks
    )


def nothing_left(tasks: Collection[TaskFact]) -> bool:
    """Whether every task was cancelled, so that the order has no work and never had."""
    return bool(tasks) and all(task.state == TaskState.CANCELLED for task in tasks)


def may_close(tasks: Collection[TaskFact]) -> bool:
    """Whether the order may end: the work is done, and no defect behind it is still unrepaired.

    A defect left alone for now (`deferred`) is not repaired: its order stays open.
    """
    return all_settled(tasks) and all(
        task.defect is None or task.defect in REPAIRED_DEFECTS for task in tasks if task.state != TaskState.CANCELLED
    )


def only_road_tests_left(tasks: Collection[TaskFact]) -> bool:
    """Whether all that stands waits for its fault to show itself again."""
    active = [task for task in tasks if task.state in ACTIVE_TASK_STATES]
    return bool(active) and all(task.state == TaskState.NOT_REPRODUCED for task in active)


def is_deferred(defect: str, certificate: str | None) -> bool:
    """Whether a defect is put off by a certificate that stands, also while the shop has begun on it nevertheless."""
    return defect == DefectState.DEFERRED or (
        defect == DefectState.IN_REPAIR and certificate == CertificateKind.REPAIR_UNNECESSARY
    )


def next_move(state: str, facts: Collection[TaskFact], moves: Collection[str]) -> str | None:
    """The action of its own that an order in this state takes next, among `moves`; None when it stays.

    An order without any defect is closed by a person: no certificate says that it is right.
    """
    holds = {
        "all_settled": all_settled(facts),
        "all_certified": may_close(facts) and any(fact.defect is not None for fact in facts),
        "nothing_left": nothing_left(facts),
        "wait_for_road_test": only_road_tests_left(facts),
    }
    allowed = ORDER_TABLE.allowed_actions(state, {SYSTEM})
    return next((action for action in allowed if action in moves and holds.get(action)), None)
