"""What is said of links by which outside firms sign."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "link_unknown": _("This link is used, revoked or expired. Ask for a new one."),
    "link_used": _("This link is already signed."),
    "link_for_one_thing": _("A link is for defects or for a refusal: name one of the two."),
    "not_on_the_link": _("The link is not for this defect."),
    "signed_twice": _("Sign once for each defect."),
    # In a unit's history
    "history_signing_link_made": _("A link to sign for defect {defect} was made, good until {expires_at}."),
    # Notifications
    # Facts: unit, firm, signer, defect.
    "firm_to_confirm": _(
        "{firm} is not confirmed. {signer} signed for it: defect {defect} on unit {unit} repaired: {what}. "
        "Call the firm."
    ),
    "firm_to_confirm_subject": _("Unit {unit}: confirm the firm {firm}"),
}
