"""What is refused about walk-arounds, reviews, refusals by drivers, and moves, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Handing in a walk-around
    "walkaround_differs": _("Another walk-around is on record under this name; nothing was changed."),
    "unsigned": _("It is not signed. Sign and send it again."),
    "signed_by_another": _("A walk-around is signed by the person who hands it in."),
    "walkaround_unknown": _("There is no such walk-around of yours."),
    "set_aside_already": _("This report is set aside already."),
    "report_of_no_unit": _("This report is of no unit that is known, so it bars none."),
    "busy": _("Others are writing about these units; send it again."),
    # Reading
    "defect_unknown": _("There is no such defect."),
    "hold_unknown": _("There is no such hold."),
    "report_unknown": _("There is no such report."),
    "unit_known_already": _("It is known which unit this report is on; nothing was changed."),
    "units_moved": _("Its units were coupled or mounted just now; send it again."),
    "catalogue_unknown": _("No catalogue of this hash was ever in force here."),
    "walk_needs_units": _("Name a tractor, a trailer or both."),
    "not_of_this_kind": _("The unit named is of another kind."),
    # Driver reviews
    "review_not_owed": _("{unit}: nothing waits for a driver's review."),
    "review_to_sign": _("{unit}: read them, then sign. Defect reports: {reports}. Certificates: {certificates}."),
    "review_certificates_missing": _(
        "{unit}: not to be signed for or driven before these defects have a certificate: {missing}. Ask the foreman."
    ),
    "review_unknown": _("There is no such review of yours."),
    "review_differs": _("Another review is on record under this name; nothing was changed."),
    "certificate_missing": _("The unit may not be driven: no certificate stands for {faults}."),
    "review_not_current": _("Something else is to be reviewed by now; read what is owed and sign again."),
    # A driver's refusal of a unit
    "refusal_unknown": _("There is no such refusal that you may see."),
    "refusal_differs": _("Another refusal is on record under this name; nothing was changed."),
    "not_qualified_to_look": _("You lack the qualification to look at what was refused: {needs}."),
    "firm_confirmed_first": _("Somebody else must confirm {firm} before its look counts."),
    "second_person_looks": _("Another qualified person than the one who refused must look."),
    "looked_before_refusal": _("The unit was refused only at {refused_at}."),
    # Moves of a barred unit
    "order_forbids_move": _(
        "An officer's order stands, hold {hold}: {what}. Nobody moves the unit until all is repaired."
    ),
    "refusal_waits": _("A driver refused the unit and nobody has looked since."),
    "nothing_found_unsafe": _("Nothing on record makes the unit unsafe, so it needs no limited move."),
    "move_allowed_already": _("A limited move of the unit is allowed and not ended yet."),
    "limited_move_refused": _("A limited move is not allowed like this."),
    "only_from_the_highway": _("It is only for a unit found unsafe on the highway."),
    "driver_consents_for_themselves": _("The driver must be another person than the one who allows it."),
    "not_a_driver": _("This person is not a driver at present."),
    "limited_move_too_long": _("It must end in the future, by {latest} at the latest."),
    "move_unknown": _("There is no such move that you may see."),
    "ended_before_allowed": _("It was allowed only at {approved_at}."),
    # What the carrier decides about the catalogue
    "carrier_rules_refused": _("The carrier's rules for the catalogue are refused."),
    "carrier_rule_malformed": _("This rule cannot be used: {reason}"),
}
