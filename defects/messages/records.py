"""What is said of signatures, and of the gaps that an audit rehearsal finds."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "sign_yourself": _("Only the person who sends this may sign it."),
    "signed_in_future": _("The signature is dated in the future. Check the device's clock."),
    "gap_certificate_missing": _(
        "{what}. Defect {defect}, reported {reported}, had no certificate when driven again {driven}."
    ),
    "gap_review_missing": _("The report of {reported} was not reviewed before the unit was driven again {driven}."),
    "gap_roadside_unanswered": _("The officer's report {report} is not answered; the answer was due on {due}."),
    "gap_roadside_answered_late": _("The officer's report {report} was answered after {due}, when it was due."),
}
