"""What is said of scale tickets."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "not_a_tractor": _("{unit} is not a tractor."),
    "scale_ticket_refused": _("The scale ticket does not fit."),
    "scale_ticket_does_not_add_up": _("The axle weights do not add up to the gross weight. Read them again."),
    "scale_ticket_axles_differ": _("The units on record have another number of axles. Count them again."),
    "scale_ticket_implausible": _("No axle weighs that. Give {least} to {most} lb for each."),
    # In a unit's history
    "history_load_weighed": _("Load {load} was weighed at {scale}: {gross_lb} lb gross."),
}
