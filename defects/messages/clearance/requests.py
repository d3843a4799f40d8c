"""What a clearance request is refused with, and the notifications of an answer that has changed."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "no_units": _("Name the units that are to roll."),
    "arrival_before_departure": _("The arrival is before the departure."),
    "combination_impossible": _("These units cannot run together: one tractor, up to three trailers, none twice."),
    "clearance_unknown": _("There is no such clearance."),
    "cooling_unit_elsewhere": _("{unit} is on none of these trailers. Name its trailer."),
    "load_elsewhere": _("Load {load} is in {trailer}. Name that trailer too."),
    # Notifications
    # Facts: units, departs_at, why (what bars them, in sentences).
    "clearance_barred": _("{units}, leaving {departs_at}: now barred. Request clearance again. {why}"),
    "clearance_barred_subject": _("Barred now: {units}"),
    "answer_barred_further": _("{units}, leaving {departs_at}: still barred. New: {why}"),
    "answer_barred_further_subject": _("Further bars: {units}"),
}
