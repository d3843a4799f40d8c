"""What is said of holds: refusals, history entries, notifications and labels."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums
from fleet.enums import HoldState

STATES: dict[str, Template] = {HoldState.LIFTED: _("lifted")}
HOLD_KINDS: dict[str, Template] = {
    enums.HoldKind.CARRIER: _("by the carrier"),
    enums.HoldKind.OFFICER: _("by an officer's order"),
}
MESSAGES: Messages = {
    "hold_unknown": _("There is no such hold."),
    "defect_not_of_unit": _("The unit has no such defect."),
    "defect_not_open": _("This defect is no longer open: {faults}."),
    "defect_held_already": _("This defect already has an active hold."),
    "photo_not_arrived": _("Hold {hold} stays until the photo of the correction arrives: {faults}."),
    "firm_not_confirmed": _(
        "Hold {hold} stays: {what}. Somebody who did not make the link must confirm first: {firms}."
    ),
    "new_evidence_needed": _("Lifting alone needs a photo or measurement after the certificate: {faults}."),
    "in_error_by_another": _("You entered the defect in error. Another foreman lifts the hold."),
    "repairs_outstanding": _("Hold {hold} stays until these defects are certified repaired: {faults}."),
    "order_without_repairs": _("The officer's notice lists no recorded repairs, so none can be done."),
    "second_person_lifts": _("You worked on the repair, signed it or entered it. Another foreman lifts the hold."),
    # In a unit's history
    "history_hold_placed": _("Hold {hold} was placed: {reason}"),
    "history_hold_lifted": _("Hold {hold} was lifted. {reason}"),
    # Notifications
    # Facts: unit, hold, lifted_by, at.
    "hold_lifted_elsewhere": _(
        "{lifted_by}, not a foreman of your site, lifted hold {hold} on unit {unit}, {at}: {what}. Read the "
        "reason and check it."
    ),
    # Facts: unit, reported_by, at; hold, or order of the shop, and what either is for.
    "held_unit_on_road": _(
        "{reported_by} reports unit {unit} on the road, {at}, under hold {hold}: {what}. Call the driver."
    ),
    "held_unit_on_road_subject": _("Unit {unit} on the road under hold {hold}"),
    "unit_in_shop_on_road": _(
        "{reported_by} reports unit {unit} on the road, {at}, with work begun on order {order}: {what}. "
        "Call the driver."
    ),
    "unit_in_shop_on_road_subject": _("Unit {unit} on the road with work begun on order {order}"),
    "hold_lifted_elsewhere_subject": _("Hold {hold} on unit {unit} was lifted from another site"),
}
CONSTRAINTS = {"hold_one_active_for_defect": "defect_held_already"}
