"""What a driver is told when a walk-around has been taken in."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # What the driver signs under when legs of the walk were looked at; `/walk` gives it.
    "walk_to_sign": _("I looked at these legs and found nothing but what I list."),
    "walk_leg": "{leg}",
    # Facts: units (those that are held).
    "receipt_held": _("Do not move {units}. Foreman and dispatch are told."),
    # Facts: units (as they were named, with a fault on each).
    "receipt_unknown_unit": _("Do not move {units}: we have no such unit. Call the foreman."),
    # Facts: units (those that are barred by what was found, without a hold).
    "receipt_barred": _("Do not drive {units} again until the faults are certified. Tell the foreman."),
    "receipt_load_at_risk": _(
        "Got it. The load is at risk; dispatch and foreman are told. Call them, and read temperatures. This alone does "
        "not bar rolling: ask for clearance."
    ),
    "receipt_put_right": _("Got it. What you put right is on record. Ask for clearance before you roll."),
    "receipt_found": _("Got it. Faults are on record. Ask for clearance before you roll."),
    "receipt_queried": _(
        "Got it, but not all of it could be used as sent. Read what is queried, and ask for clearance before you roll."
    ),
    "receipt_nothing_found": _(
        "Got it. Nothing found. What was open before stays open: ask for clearance before you roll."
    ),
    "receipt_nothing_listed": _("Got it. You listed no fault. Ask for clearance before you roll."),
    # What stands over the faults of one unit. Facts: unit.
    "receipt_to_certify": _("Each needs its certificate before {unit} is driven again."),
    "receipt_to_put_right": _("Put these right on {unit} yourself, then answer them again."),
    "receipt_noted": _("Noted for the shop."),
    # Said after the first sentence, where that speaks of something graver
    "receipt_also_load_at_risk": _(
        "The load is at risk too; dispatch and foreman are told. Call them, and read temperatures."
    ),
    # Facts: unit, answered and asked (how many places have an answer, and how many the walk asks every time).
    "receipt_looked_at": _("{unit}: {answered} of {asked} points have an answer."),
    # The same where no message can leave to any of those who should be told
    "receipt_held_untold": _("Do not move {units}."),
    "receipt_load_at_risk_untold": _(
        "Got it. The load is at risk. Call dispatch and foreman, and read temperatures. This alone does not bar "
        "rolling: ask for clearance."
    ),
    "receipt_also_load_at_risk_untold": _("The load is at risk too. Call dispatch and foreman, and read temperatures."),
    # Facts: names (those who should be told and have no address, or there is no mail server).
    "receipt_not_reached": _("No message can reach {names}: call them."),
    "receipt_also_queried": _("Not all of it could be used as sent: read what is queried."),
    # A large walk-around, or one of many findings, waits for another of the same person, or for much that was sent
    # before; a phone sends it again.
    "walkarounds_too_fast": _("Much was sent at once. Send the others in {retry_after} seconds; none is lost."),
}
