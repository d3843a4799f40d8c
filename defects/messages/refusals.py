"""What is refused about walk-arounds, reviews, refusals by drivers, and moves, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.messages import register

# Handing in a walk-around
register("walkaround_differs", _("Another walk-around is on record under this name; nothing was changed."))
register("unsigned", _("It is not signed. Sign and send it again."))
register("signed_by_another", _("A walk-around is signed by the person who hands it in."))
register("walkaround_unknown", _("There is no such walk-around of yours."))
register("set_aside_already", _("This report is set aside already."))
register("report_of_no_unit", _("This report is of no unit that is known, so it bars none."))
register("busy", _("Others are writing about these units; send it again."))

# Reading
register("defect_unknown", _("There is no such defect."))
register("hold_unknown", _("There is no such hold."))
register("report_unknown", _("There is no such report."))
register("unit_known_already", _("It is known which unit this report is on; nothing was changed."))
register("units_moved", _("Its units were coupled or mounted just now; send it again."))
register("catalogue_unknown", _("No catalogue of this hash was ever in force here."))
register("walk_needs_units", _("Name a tractor, a trailer or both."))
register("not_of_this_kind", _("The unit named is of another kind."))

# Driver reviews
register("review_not_owed", _("{unit}: nothing waits for a driver's review."))
register(
    "review_to_sign",
    _("{unit}: read them, then sign. Defect reports: {reports}. Certificates: {certificates}."),
)
register(
    "review_certificates_missing",
    _("{unit}: not to be signed for or driven before these defects have a certificate: {missing}. Ask the foreman."),
)
register("review_unknown", _("There is no such review of yours."))
register("review_differs", _("Another review is on record under this name; nothing was changed."))
register("certificate_missing", _("The unit may not be driven: no certificate stands for {faults}."))
register("review_not_current", _("Something else is to be reviewed by now; read what is owed and sign again."))

# A driver's refusal of a unit
register("refusal_unknown", _("There is no such refusal that you may see."))
register("refusal_differs", _("Another refusal is on record under this name; nothing was changed."))
register("not_qualified_to_look", _("You lack the qualification to look at what was refused: {needs}."))
register("firm_confirmed_first", _("Somebody else must confirm {firm} before its look counts."))
register("second_person_looks", _("Another qualified person than the one who refused must look."))
register("looked_before_refusal", _("The unit was refused only at {refused_at}."))

# Moves of a barred unit
register(
    "order_forbids_move",
    _("An officer's order stands, hold {hold}: {what}. Nobody moves the unit until all is repaired."),
)
register("refusal_waits", _("A driver refused the unit and nobody has looked since."))
register("nothing_found_unsafe", _("Nothing on record makes the unit unsafe, so it needs no limited move."))
register("move_allowed_already", _("A limited move of the unit is allowed and not ended yet."))
register("limited_move_refused", _("A limited move is not allowed like this."))
register("only_from_the_highway", _("It is only for a unit found unsafe on the highway."))
register("driver_consents_for_themselves", _("The driver must be another person than the one who allows it."))
register("not_a_driver", _("This person is not a driver at present."))
register("limited_move_too_long", _("It must end in the future, by {latest} at the latest."))
register("move_unknown", _("There is no such move that you may see."))
register("ended_before_allowed", _("It was allowed only at {approved_at}."))

# What the carrier decides about the catalogue
register("carrier_rules_refused", _("The carrier's rules for the catalogue are refused."))
register("carrier_rule_malformed", _("This rule cannot be used: {reason}"))
