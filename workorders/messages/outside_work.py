"""What is said of outside firms' repairs."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "outside_repair_unknown": _("There is no such outside repair."),
    "cost_without_currency": _("Give a cost together with its currency."),
    # In a unit's history
    "history_outside_repair_recorded": _("{worker} of {firm} worked on repair order {order}: {work}"),
}
