"""What an audit rehearsal finds in the shop's records."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "gap_brake_evidence_missing": _("Repair order {order}: no evidence that {name} was qualified for brakes on {day}."),
}
