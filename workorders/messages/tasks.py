"""What is said of repair tasks and of who may do them."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template, Wording
from workorders.enums import TaskState

TASK_STATES: dict[str, Template] = {
    TaskState.OPEN: _("open"),
    TaskState.STARTED: _("started"),
    TaskState.PAUSED: _("paused as fit to move"),
    TaskState.DONE: _("done"),
    TaskState.NOT_REPRODUCED: _("not reproduced"),
    TaskState.CANCELLED: _("cancelled"),
}
MESSAGES: Messages = {
    # What a task asks people to be qualified for
    "scope_brakes_adjust": _("adjusting brakes"),
    "scope_brakes_repair": _("repairing brakes"),
    "scope_refrigerant": _("refrigerant circuits"),
    "not_qualified": Wording(
        _("{person} may not lead this work. Required qualification, valid today: {needs}."), _("Not qualified")
    ),
    "not_of_the_shop": _("Somebody named is neither a mechanic nor a foreman of this shop today."),
    "not_the_lead": Wording(_("Another person leads this task. A foreman can reassign it."), _("Not the lead")),
    "not_the_orders_lead": Wording(
        _("Only the foreman, or the lead of repair order {order}, signs a unit fit to move with work undone."),
        _("Not the order's lead"),
    ),
    "helper_is_lead": _("The lead of a task cannot be its helper."),
    "helper_without_lead": _("A helper needs another person as lead of this task."),
    "task_unknown": _("There is no such repair task."),
    "task_settled": _("This task is already {state}."),
    "defect_unrepaired": Wording(_("The task stays open until this is repaired: {faults}."), _("Defect not repaired")),
    "road_test_in_past": _("The road test must be planned ahead."),
    "measured_before_start": _("Measure after work began, {started_at}. An older value proves no repair."),
    "measurement_missing": _("A fault that was measured needs a value measured after the repair."),
    "measurement_not_asked": _("There is nothing to be measured for this."),
    "measurement_unusable": _("The value cannot be used. {why}"),
    "measurement_past_limit": _("{value} is still past the limit of {limit}."),
    "measurement_limit_unknown": _("The limit is unknown. Record the axle, brake and chamber first."),
    # In a unit's history
    "history_repair_task_opened": _("On repair order {order}: {complaint}"),
    "history_repair_task_renamed": _("On repair order {order}, found worse: {complaint}"),
    "history_repair_task_assigned": _("A task of repair order {order} was assigned to {name}."),
    "history_repair_task_started": _("{name} began a task of repair order {order}."),
    "history_repair_task_paused": _(
        "{name} paused a task of repair order {order} and signed the unit fit to move. Undone: {undone}"
    ),
    "history_repair_task_done": _("A task of repair order {order} was done: {correction}"),
    "history_repair_task_not_reproduced": _(
        "Repair order {order}: the fault was not reproduced: {conditions}. Road test planned for {road_test_at}."
    ),
    "history_repair_task_cancelled": _("A task of repair order {order} was cancelled: {because}"),
}
