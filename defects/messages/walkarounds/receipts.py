"""What a driver is told when a walk-around has been taken in."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # What the driver signs under when legs of the walk were looked at; `/walk` gives it.
    "walk_to_sign": _("I looked at these legs and found nothing but what I list."),
    "walk_to_sign_heard": _("What I was told and did not see, I list with who told me."),
    "walk_leg": "{leg}",
    # Facts: unit, axles (a number).
    "walk_axles_assumed": _("{unit}: axles not recorded. The walk takes {axles}; count them."),
    # Facts: units (those that are held).
    "receipt_held": _("Do not move {units}. Foreman and dispatch are notified."),
    # Facts: units (as they were named, with a fault on each).
    "receipt_unknown_unit": _("Do not move {units}: no such unit on record. Call the foreman."),
    "receipt_unnamed_unit": _("Do not move the unit: your report names none. Call the foreman."),
    # Facts: units (those that are barred by what was found, without a hold).
    # The same of cooling units.
    "receipt_barred_cooling": _("Do not run {units} again until the faults are certified. Tell the foreman."),
    "receipt_barred": _("Do not drive {units} again until the faults are certified. Tell the foreman."),
    "receipt_load_at_risk": _(
        "Received. The load is at risk. Dispatch and foreman are notified. Call them. Read temperatures. "
        "This alone does not bar rolling: request clearance."
    ),
    "receipt_put_right": _("Received. Your corrections are recorded. Request clearance before you roll."),
    "receipt_found": _("Received. Faults are recorded. Request clearance before you roll."),
    "receipt_flagged": _("Received, but parts are flagged. Read the flags. Request clearance before you roll."),
    "receipt_nothing_found": _("Received. Nothing found. Earlier faults stay open. Request clearance before you roll."),
    "receipt_nothing_listed": _("Received. You listed no fault. Request clearance before you roll."),
    # What kept a unit from rolling before. Facts: unit; hold and what it is for, or the shop's order and its work.
    "receipt_hold_active": _("{unit}: hold {hold} is active: {what}. Do not move it."),
    "receipt_hold_but_move": _("{unit}: hold {hold} is active: {what}. Drive only the permitted trip."),
    "receipt_hold_but_move_unmetered": _(
        "{unit}: hold {hold} is active: {what}. Drive only the permitted trip. Its miles are not known: read the "
        "odometer. {distance_mi} miles are permitted."
    ),
    "receipt_hold_move_passed": _(
        "{unit}: hold {hold} is active: {what}. {driven_mi} miles driven, {distance_mi} permitted. Stop where it is "
        "safe, then call dispatch."
    ),
    "receipt_in_shop": _("{unit} is in the shop, order {order}: {work}. Do not move it."),
    # What stands over the faults of one unit. Facts: unit.
    "receipt_to_certify": _("Each needs a certificate before {unit} is operated."),
    "receipt_to_put_right": _("Correct these on {unit} yourself, then answer them again."),
    "receipt_noted": _("Noted for the shop."),
    # Said after the first sentence, where that speaks of something graver
    "receipt_also_load_at_risk": _(
        "The load is at risk too. Dispatch and foreman are notified. Call them. Read temperatures."
    ),
    # Facts: unit, answered and asked (how many places have an answer, and how many the walk asks every time).
    "receipt_looked_at": _("{unit}: {answered} of {required} points asked every time have an answer."),
    # The same where no message can leave to any of those who should be told
    "receipt_held_without_recipients": _("Do not move {units}."),
    "receipt_load_at_risk_without_recipients": _(
        "Received. The load is at risk. Call dispatch and foreman. Read temperatures. This alone does not "
        "bar rolling: request clearance."
    ),
    "receipt_also_load_at_risk_without_recipients": _(
        "The load is at risk too. Call dispatch and foreman. Read temperatures."
    ),
    # Facts: names (those who should be told and have no address, or there is no mail server).
    "receipt_not_reached": _("{names} cannot be reached by message. Call them."),
    "receipt_also_flagged": _("Parts of it are flagged: read the flags."),
    # A large walk-around, or one of many findings, waits for another of the same person, or for much that was sent
    # before; a phone sends it again.
    "walkarounds_too_fast": _("Too many walk-arounds at once. Send the rest in {retry_after} seconds. None is lost."),
}
