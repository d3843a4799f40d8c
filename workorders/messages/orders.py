"""What is said of repair orders: refusals, history entries, notifications, and the labels of their states."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template, Wording
from workorders.enums import OrderState

ORDER_STATES: dict[str, Template] = {
    OrderState.OPEN: _("open"),
    OrderState.ASSIGNED: _("assigned"),
    OrderState.IN_PROGRESS: _("in progress"),
    OrderState.WAITING: _("waiting"),
    OrderState.WORK_DONE: _("work done"),
    OrderState.CLOSED: _("closed"),
    OrderState.CANCELLED: _("cancelled"),
}
MESSAGES: Messages = {
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
    # Facts: unit, order (its number), before_at, expected_at
    "expected_time_moved": _(
        "Repair order {order} on unit {unit} is now expected {expected_at}, before that {before_at}."
    ),
    "expected_time_moved_subject": _("Unit {unit}: the expected time changed"),
    # In a unit's history
    "history_repair_order_opened": _("Repair order {order} was opened."),
    "history_repair_order_assigned": _("Repair order {order} was assigned to {name}."),
    "history_repair_order_started": _("Work on repair order {order} began."),
    "history_repair_order_waiting": _("Repair order {order} waits."),
    "history_repair_order_resumed": _("Work on repair order {order} went on."),
    "history_expected_time_set": _("Repair order {order} is expected {expected_at}."),
    "history_repair_order_work_done": _("The work of repair order {order} is done."),
    "history_repair_order_closed": _("Repair order {order} was closed."),
    "history_repair_order_cancelled": _("Repair order {order} was cancelled."),
}
