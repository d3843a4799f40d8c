"""What is said of limited moves and of moves in the yard."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums

STATES: dict[str, Template] = {enums.MoveState.ALLOWED: _("allowed")}
MESSAGES: Messages = {
    "order_forbids_move": _("Out of service by an officer, hold {hold}: {what}. Do not move it until all is repaired."),
    "refusal_waits": _("A driver refused the unit. A second qualified person must look."),
    "nothing_found_unsafe": _("Nothing on record makes the unit unsafe, so it needs no limited move."),
    "move_allowed_already": _("The unit already has an approved limited move."),
    "limited_move_refused": _("A limited move is not allowed on these terms."),
    "only_from_the_highway": _("Only for a unit found unsafe on the highway."),
    "driver_consents_for_themselves": _("The driver must be another person than the one who allows it."),
    "not_a_driver": _("This person is not a driver today."),
    "limited_move_too_far": _("That place is too far. Name one within {most} miles."),
    "limited_move_too_long": _("It must end in the future, by {latest} at the latest."),
    "move_unknown": _("There is no such move, or you may not see it."),
    "ended_before_allowed": _("It was approved only at {approved_at}."),
    # Notifications. Facts: unit, to_place, name; ends_at, or driven_mi and distance_mi.
    "limited_move_time_passed": _("{unit}: the permitted trip to {to_place} ran out {ends_at}. Call {name}."),
    "limited_move_time_passed_subject": _("{unit}: the permitted trip ran out"),
    "limited_move_miles_passed": _(
        "{unit}: {driven_mi} miles driven, {distance_mi} permitted, to {to_place}. Call {name}."
    ),
    "limited_move_miles_passed_subject": _("{unit}: beyond the miles of the permitted trip"),
    # In a unit's history
    "history_yard_move": _("Moved in the yard, from {from} to {to}: {reason}"),
    "history_limited_move_allowed": _("A limited move was approved, from {from} to {to}: {why_nearest}"),
    "history_limited_move_ended": _("The limited move was ended. {note}"),
}
