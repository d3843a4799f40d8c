"""The sentences of every code that the shop raises, keeps or tells. Holds no logic."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import register, register_words
from workorders.enums import OrderState, TaskState

# What a task asks people to be qualified for
register("scope_brakes_adjust", _("adjusting brakes"))
register("scope_brakes_repair", _("repairing brakes"))
register("scope_refrigerant", _("refrigerant circuits"))

# Who may do it
register(
    "not_qualified",
    _("{person} may not lead this work: it asks for one of these qualifications, in force today: {needs}."),
    title=_("Not qualified"),
)
register("not_of_the_shop", _("Somebody named is neither a mechanic nor a foreman of this shop today."))
register("not_the_lead", _("Another person leads this task; a foreman can assign it anew."), title=_("Not the lead"))
register(
    "not_the_orders_lead",
    _("Only the foreman, or the lead of repair order {order}, signs a unit fit to move with work undone."),
    title=_("Not the order's lead"),
)
register("helper_is_lead", _("A helper works under the lead and cannot be the lead too."))
register("helper_without_lead", _("A helper works under a lead, and this task has none other than you."))

# Orders
register("order_unknown", _("There is no such repair order."))
register("order_ended", _("The repair order has ended: {state}."), title=_("Order ended"))
register("order_empty", _("Name a defect or a job that the order is for."))
register("defect_not_on_unit", _("There is no such open defect on this unit."))
register("defects_on_order", _("All of these defects are on the unit's order already."), title=_("On order already"))
register("work_not_done", _("Some of its tasks are still to be done."), title=_("Work not done"))
register(
    "defects_unrepaired",
    _("These defects are not certified repaired: {faults}. Until they are, the order stays open."),
    title=_("Defects not repaired"),
)
register(
    "order_has_deferred",
    _("These defects were put off by a certificate and stay on the shop's list: {faults}."),
    title=_("Deferred defects"),
)
register(
    "work_under_way",
    _("Work on it was begun. Finish it, or sign the unit paused as fit to move, first."),
    title=_("Work under way"),
)
register("expected_in_past", _("The time at which it is expected to be done must lie ahead."))
register("unit_needed", _("Name the units whose repair orders you want to see."))

# Tasks
register("task_unknown", _("There is no such repair task."))
register("task_settled", _("This task is settled already: {state}."))
register("defect_unrepaired", _("The task stays until this is repaired: {faults}."), title=_("Defect not repaired"))
register("road_test_in_past", _("The road test must be planned ahead."))
register("measured_before_start", _("Measure after the work began, {started_at}: an older value shows no repair."))
register("measurement_missing", _("A fault that was measured needs a value measured after the repair."))
register("measurement_not_asked", _("There is nothing to be measured for this."))
register("measurement_unusable", _("The value cannot be used. {why}"))
register("measurement_past_limit", _("{value} is still past the limit of {limit}."))
register(
    "measurement_limit_unknown",
    _("It is not known which limit applies: record the axle, its brake and chamber first."),
)

# Labor and outside firms
register("labor_unknown", _("There is no such labor entry."))
register("outside_repair_unknown", _("There is no such outside repair."))
register("labor_running", _("This person's time runs on a task already."), title=_("Time runs already"))
register("labor_has_ended", _("This entry has ended already."), title=_("Ended already"))
register("labor_of_another", _("Only a foreman keeps the time of others."), title=_("Time of others"))
register("task_not_started", _("Time can run on a started task only; this one is in the state {state}."))
register("cost_without_currency", _("A cost and its currency are given together."))

register_constraint("labor_one_running_for_person", "labor_running")

# What is entered into a unit's history
register("history_repair_order_opened", _("Repair order {order} was opened."))
register("history_repair_order_assigned", _("Repair order {order} was given to {name}."))
register("history_repair_order_started", _("Work on repair order {order} began."))
register("history_repair_order_waiting", _("Repair order {order} waits."))
register("history_repair_order_resumed", _("Work on repair order {order} went on."))
register("history_repair_order_promised", _("Repair order {order} is expected to be done at {expected_at}."))
register("history_repair_order_work_done", _("The work of repair order {order} is done."))
register("history_repair_order_closed", _("Repair order {order} was closed."))
register("history_repair_order_cancelled", _("Repair order {order} was cancelled."))
register("history_repair_task_opened", _("On repair order {order}: {complaint}"))
register("history_repair_task_assigned", _("A task of repair order {order} was given to {name}."))
register("history_repair_task_started", _("{name} began a task of repair order {order}."))
register(
    "history_repair_task_paused",
    _("{name} paused a task of repair order {order} and signed the unit fit to move. Undone: {undone}"),
)
register("history_repair_task_done", _("A task of repair order {order} was done: {correction}"))
register(
    "history_repair_task_not_reproduced",
    _("On repair order {order} a fault did not show itself again: {conditions}. Road test planned for {road_test_at}."),
)
register("history_repair_task_cancelled", _("A task of repair order {order} was cancelled: {because}"))
register("history_labor_started", _("{name} began to work on repair order {order}."))
register("history_labor_paused", _("{name} paused work on repair order {order}: {cause}"))
register("history_labor_ended", _("{name} ended work on repair order {order}."))
register("history_outside_repair_recorded", _("{worker} of {firm} worked on repair order {order}: {work}"))

# Facts: unit, order (its number), before_at, expected_at
register(
    "promise_moved",
    _(
        "Repair order {order} on unit {unit} is now expected to be done at {expected_at}; "
        "{before_at} had been promised before."
    ),
)
register("promise_moved_subject", _("Unit {unit}: the promised time moved"))

# What sentences show for the shop's states, as far as the lower apps have no word for them
register_words(
    "state",
    {
        str(state): state.label
        for state in (
            OrderState.ASSIGNED,
            OrderState.IN_PROGRESS,
            OrderState.WORK_DONE,
            TaskState.STARTED,
            TaskState.PAUSED,
            TaskState.DONE,
            TaskState.NOT_REPRODUCED,
        )
    },
)

# What an audit rehearsal finds
register(
    "gap_brake_evidence_missing",
    _("Repair order {order}: no evidence that {name} was qualified for brakes on {day}."),
)
