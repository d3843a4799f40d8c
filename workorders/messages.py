"""The sentences of every code that the shop raises, keeps or tells. Holds no logic."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Sentences, Template, Wording, Words
from workorders.enums import OrderState, TaskState

MESSAGES: Messages = {
    # What a task asks people to be qualified for
    "scope_brakes_adjust": _("adjusting brakes"),
    "scope_brakes_repair": _("repairing brakes"),
    "scope_refrigerant": _("refrigerant circuits"),
    # Who may do it
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
    # Orders
    "order_unknown": _("There is no such repair order."),
    "order_ended": Wording(_("The repair order has ended: {state}."), _("Order ended")),
    "order_empty": _("Name a defect or a job that the order is for."),
    "defect_not_on_unit": _("There is no such open defect on this unit."),
    "defects_on_order": Wording(_("All these defects are already on the unit's order."), _("Already on an order")),
    "work_not_done": Wording(_("Some of its tasks are not done."), _("Work not done")),
    "defects_unrepaired": Wording(
        _("These defects are not certified repaired: {faults}. Until they are, the order stays open."),
        _("Defects not repaired"),
    ),
    "order_has_deferred": Wording(
        _("These defects are deferred and stay on the shop's list: {faults}."), _("Deferred defects")
    ),
    "work_under_way": Wording(_("Work has started. Finish it, or pause it signed fit to move."), _("Work in progress")),
    "expected_in_past": _("The expected time must be in the future."),
    "unit_has_open_order": _("The unit has an open repair order. Close it first."),
    "unit_needed": _("Name the units whose repair orders you want to see."),
    # Tasks
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
    # Labor and outside firms
    "labor_unknown": _("There is no such labor entry."),
    "outside_repair_unknown": _("There is no such outside repair."),
    "labor_running": Wording(_("This person already has time running on a task."), _("Time already running")),
    "labor_has_ended": Wording(_("This entry has already ended."), _("Already ended")),
    "labor_of_another": Wording(_("Only a foreman keeps the time of others."), _("Time of others")),
    "task_not_started": _("Start the task first. It is {state}."),
    "cost_without_currency": _("Give a cost together with its currency."),
    # What is entered into a unit's history
    "history_repair_order_opened": _("Repair order {order} was opened."),
    "history_repair_order_assigned": _("Repair order {order} was assigned to {name}."),
    "history_repair_order_started": _("Work on repair order {order} began."),
    "history_repair_order_waiting": _("Repair order {order} waits."),
    "history_repair_order_resumed": _("Work on repair order {order} went on."),
    "history_expected_time_set": _("Repair order {order} is expected {expected_at}."),
    "history_repair_order_work_done": _("The work of repair order {order} is done."),
    "history_repair_order_closed": _("Repair order {order} was closed."),
    "history_repair_order_cancelled": _("Repair order {order} was cancelled."),
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
    "history_labor_started": _("{name} began to work on repair order {order}."),
    "history_labor_paused": _("{name} paused work on repair order {order}: {cause}"),
    "history_labor_ended": _("{name} ended work on repair order {order}."),
    "history_outside_repair_recorded": _("{worker} of {firm} worked on repair order {order}: {work}"),
    # Facts: unit, order (its number), before_at, expected_at
    "expected_time_moved": _(
        "Repair order {order} on unit {unit} is now expected {expected_at}, before that {before_at}."
    ),
    "expected_time_moved_subject": _("Unit {unit}: the expected time changed"),
    # What an audit rehearsal finds
    "gap_brake_evidence_missing": _("Repair order {order}: no evidence that {name} was qualified for brakes on {day}."),
}
ORDER_STATES: dict[str, Template] = {
    OrderState.OPEN: _("open"),
    OrderState.ASSIGNED: _("assigned"),
    OrderState.IN_PROGRESS: _("in progress"),
    OrderState.WAITING: _("waiting"),
    OrderState.WORK_DONE: _("work done"),
    OrderState.CLOSED: _("closed"),
    OrderState.CANCELLED: _("cancelled"),
}
TASK_STATES: dict[str, Template] = {
    TaskState.OPEN: _("open"),
    TaskState.STARTED: _("started"),
    TaskState.PAUSED: _("paused as fit to move"),
    TaskState.DONE: _("done"),
    TaskState.NOT_REPRODUCED: _("not reproduced"),
    TaskState.CANCELLED: _("cancelled"),
}
WORDS: Words = {"state": {**ORDER_STATES, **TASK_STATES}}
"""What sentences of the shop show for its states."""
CONSTRAINTS = {"labor_one_running_for_person": "labor_running"}
SENTENCES = Sentences((MESSAGES,), words=WORDS, constraints=CONSTRAINTS)
