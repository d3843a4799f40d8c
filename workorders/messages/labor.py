"""What is said of labor."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Wording

MESSAGES: Messages = {
    "labor_unknown": _("There is no such labor entry."),
    "labor_running": Wording(_("This person already has time running on a task."), _("Time already running")),
    "labor_has_ended": Wording(_("This entry has already ended."), _("Already ended")),
    "labor_of_another": Wording(_("Only a foreman keeps the time of others."), _("Time of others")),
    "task_not_started": _("Start the task first. It is {state}."),
    # In a unit's history
    "history_labor_started": _("{name} began to work on repair order {order}."),
    "history_labor_paused": _("{name} paused work on repair order {order}: {cause}"),
    "history_labor_ended": _("{name} ended work on repair order {order}."),
}
CONSTRAINTS = {"labor_one_running_for_person": "labor_running"}
