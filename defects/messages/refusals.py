"""What is refused about walk-arounds, reviews, refusals by drivers, and moves, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Handing in a walk-around
    "walkaround_differs": _("A different walk-around exists under this key. Nothing was changed."),
    "unsigned": _("It is not signed. Sign and send it again."),
    "signed_by_another": _("The person who submits a walk-around must sign it."),
    "walkaround_unknown": _("There is no such walk-around of yours."),
    "set_aside_already": _("This report is already set aside."),
    "report_readable": _("This report can be read. It stays."),
    "report_of_no_unit": _("This report names no known unit, so it bars none."),
    "busy": _("These units are being changed right now. Send it again."),
    # Reading
    "defect_unknown": _("There is no such defect."),
    "hold_unknown": _("There is no such hold."),
    "report_unknown": _("There is no such report."),
    "unit_has_open_defects": _("The unit has open defects or holds. End them first."),
    "unit_known_already": _("This report already has its unit. Nothing was changed."),
    "units_moved": _("Its units were just coupled or mounted. Send it again."),
    "catalogue_unknown": _("No catalogue with this hash was ever in force."),
    "walk_needs_units": _("Name a tractor, a trailer or both."),
    "not_of_this_kind": _("The unit named is of another kind."),
    # Driver reviews
    "review_not_due": _("{unit}: nothing waits for a driver's review."),
    "review_to_sign": _("{unit}: read them, then sign. Defect reports: {reports}. Certificates: {certificates}."),
    "review_certificates_missing": _(
        "{unit}: do not sign or drive. Certificates are missing: {missing}. Ask the foreman."
    ),
    "review_unknown": _("There is no such review of yours."),
    "review_differs": _("A different review exists under this key. Nothing was changed."),
    "certificate_missing": _("Do not drive the unit. Certificates are missing for {faults}."),
    "review_not_current": _("The pending review has changed. Read it and sign again."),
    # A driver's refusal of a unit
    "refusal_unknown": _("There is no such refusal, or you may not see it."),
    "refusal_differs": _("A different refusal exists under this key. Nothing was changed."),
    "not_qualified_to_look": _("You are not qualified for this second look: {needs}."),
    "firm_confirmed_first": _("Somebody else must confirm {firm} before its look counts."),
    "second_person_looks": _("A qualified person other than the one who refused must look."),
    "looked_before_refusal": _("The unit was refused later, {refused_at}."),
    # Moves of a barred unit
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
    # What the carrier decides about the catalogue
    "carrier_rules_refused": _("The carrier's rules for the catalogue are refused."),
    "carrier_rule_malformed": _("This rule cannot be used: {reason}"),
}
