"""What a person may do with an order or a task now: the table's word, less what the rules would refuse anyway."""

from collections.abc import Iterable

from fleet.models import Person
from workorders.enums import OrderState, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.rules.orders import REPAIRED_DEFECTS, TaskFact, all_settled, is_deferred, may_close
from workorders.transitions import FOREMAN, ORDER_TABLE, TASK_TABLE


def order_actions(order: RepairOrder, tasks: Iterable[RepairTask], person: Person) -> list[str]:
    """The order's actions; its tasks are given with their defects and certificates."""
    active = [task for task in tasks if task.state != TaskState.CANCELLED]
    facts = [TaskFact(task.state, None if task.defect is None else task.defect.state) for task in active]
    refused = {
        "work_done": not all_settled(facts),
        "close": not may_close(facts),
        "cancel": any(_is_deferred(task) for task in active),
    }
    allowed = ORDER_TABLE.allowed_actions(order.state, person.roles_at(order.site_id))
    return [action for action in allowed if not refused.get(action)]


def task_actions(task: RepairTask, person: Person) -> list[str]:
    """The task's actions; it is given with its order and defect."""
    roles = person.roles_at(task.order.site_id)
    others = task.lead_id not in {None, person.pk} and not FOREMAN & roles
    refused = {
        "start": others or task.order.state not in {OrderState.ASSIGNED, OrderState.IN_PROGRESS, OrderState.WAITING},
        "pause": task.order.assigned_to_id != person.pk and not FOREMAN & roles,
        "finish": others,
        "not_reproduced": others,
        "cancel": task.defect is not None and task.defect.state not in REPAIRED_DEFECTS,
    }
    allowed = TASK_TABLE.allowed_actions(task.state, roles)
    return [action for action in allowed if not refused.get(action)]


def _is_deferred(task: RepairTask) -> bool:
    if task.defect is None:
        return False
    certificate = task.defect.current_certificate
    return is_deferred(task.defect.state, None if certificate is None else certificate.kind)
