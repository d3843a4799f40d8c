"""What is said of drivers' reviews."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "review_not_due": _("{unit}: nothing waits for a driver's review."),
    "review_to_sign": _("{unit}: read them, then sign. Defect reports: {reports}. Certificates: {certificates}."),
    "review_certificates_missing": _(
        "{unit}: do not sign or drive. Certificates are missing: {missing}. Ask the foreman."
    ),
    "review_unknown": _("There is no such review of yours."),
    "review_differs": _("A different review exists under this key. Nothing was changed."),
    "certificate_missing": _("Do not drive the unit. Certificates are missing for {faults}."),
    "review_not_current": _("The pending review has changed. Read it and sign again."),
    # In a unit's history
    "history_driver_reviewed": _("A driver reviewed the reports and certificates of defects {defects}."),
}
