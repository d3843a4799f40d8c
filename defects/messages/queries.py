"""Why something on a signed report must be looked at: `query_` before the code. Short, for a driver with cold hands."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Words

MESSAGES: Messages = {
    # The unit, the point, the place
    "query_unit_unknown": _("We have no unit {unit}. Kept for the foreman."),
    "query_unit_named_twice": _("{unit} is named twice. Taken as one report."),
    "query_unit_fact_unusable": _("{given} cannot be right for {unit}. Look again."),
    "query_unit_kind_differs": _("We know {unit} as another kind of unit."),
    "query_unit_vin_known": _("{given} is known here as another unit than {unit}."),
    "query_unit_fact_differs": _("On record for {unit} is {recorded}, not {given}. Look again."),
    "query_point_unknown": _("There is no check called {point}."),
    "query_point_retired": _("This check ended on {retired_on}."),
    "query_point_not_for_unit_kind": _("This check does not belong to this kind of unit."),
    "query_place_missing": _("Say at which place."),
    "query_place_unknown": _("This unit has no place {place}."),
    "query_does_not_apply": _("This check does not apply to this unit."),
    "query_applies_to_this_unit": _("This unit has it. It cannot be left out."),
    # The answer
    "query_answer_unknown": _(
        "{answer} is no answer we know. Known are: fine, defect, corrected, not_applicable, not_reached."
    ),
    "query_answer_contradicts_value": _("The answer and the value {value} do not fit together."),
    "query_answer_contradicts_finding": _("A fault is named, but the answer says there is none."),
    "query_finding_unknown": _("This check has no fault called {finding}."),
    "query_needs_qualified_person": _("Only a qualified person can pass this check."),
    "query_reason_missing": _("Say why it was not reached."),
    "query_reason_does_not_fit": _("The reason given does not explain why this was not reached."),
    # The legs signed for
    "query_leg_without_list": _("The list of checks is not named. Leg {leg} counts for nothing."),
    "query_leg_without_sentence": _("Leg {leg} was not signed for in the words of the walk. It counts for nothing."),
    "query_leg_not_of_this_walk": _("This walk has no leg {leg} on this unit. It counts for nothing."),
    "query_leg_time_implausible": _("The time given for leg {leg} does not fit. It counts for nothing."),
    # The value
    "query_value_missing": _("A value is missing."),
    "query_measured_twice": _("Measured twice with different values. The first counts, and every fault stands."),
    "query_value_not_asked": _("No value is asked here; {value} is kept aside."),
    "query_value_unreadable": _("The value cannot be read as a number. Write it in digits, as 2.31."),
    "query_value_implausible": _("{value} is outside {minimum} to {maximum}. Measure again."),
    "query_value_within_limits": _("{value} is within limits, but a fault is reported. Kept as a fault."),
    "query_unit_missing": _("The unit of measure is missing. The value is asked for in {expected}."),
    "query_unit_wrong": _("The value is in {given}. Measure again in {expected}."),
    "query_limit_unknown": _("The limit is not known for this unit. The shop must look."),
    "query_condition_unknown": _("Something that decides this is not known. The stricter reading is taken."),
    # Put right on the spot
    "query_correction_incomplete": _("Fixed on the spot needs what, who and a photo. Missing: {missing}."),
    "query_correction_still_fails": _("{value} is still past the limit. It stays a fault."),
    "query_not_correctable_on_the_spot": _("This cannot be fixed on the spot. It stays a fault."),
    # Meters: facts are meter and shown
    "query_negative": _("A meter cannot show {shown}."),
    "query_future": _("The reading {shown} is in the future."),
    "query_falling": _("{shown} is less than before. Set aside."),
    "query_implausible": _("{shown} is too far from the last reading. Set aside."),
    "query_meter_of_unknown_unit": _("{shown} is of a unit we do not know. Set aside."),
    "query_time_unknown": _("It is not known when {shown} was read. Set aside."),
    "query_meter_not_on_unit": _("This unit has no such meter."),
    "query_read_twice": _("This meter was read twice. The first reading counts."),
    # The walk-around itself
    "query_clock_skewed": _("The phone's clock is off. Times were put right."),
    "query_clock_ahead": _("The phone's clock is ahead: when this was done is not known. Walk again."),
    "query_clock_behind": _("The phone's clock is far behind: when this was done is not known. Walk again."),
    "query_walk_times_implausible": _("The start and the end of the walk do not fit together."),
    "query_signed_at_implausible": _("The time of the signature does not fit the walk."),
    "query_not_a_combination": _("These units do not run together. The combination on record stays."),
    "query_catalogue_unknown": _("The phone's list of checks is not one of ours. Load it again."),
    "query_site_unknown": _("We have no site {site}."),
    "query_team_mate_unknown": _("We know nobody called {team_mate}."),
    # What was sent itself: `field` is its place there
    "query_field_unknown": _("{field} is a field that is not known here. It is kept as sent."),
    "query_field_missing": _("{field} is missing."),
    "query_field_set_aside": _("{field} cannot be read. It is kept as sent."),
    "query_field_changed": _("{field} was read as text that can be shown. It is kept as sent."),
    "query_field_cut": _("{field} is too long. The beginning is shown; all is kept as sent."),
    "query_list_cut": _("{field} holds too many. What is beyond waits for the foreman."),
    "query_instant_without_zone": _("{field} lacks its offset. It was read as local time."),
    "query_instant_out_of_reach": _("{field} cannot be right. The nearest possible time stands."),
    "query_more_fields_odd": _("{count} more fields could not be read as sent."),
    "query_nothing_reported": _("There is no report in it."),
    "query_time_not_given": _("It says no time at which it was done. Walk again."),
}
WORDS: Words = {
    "expected": {
        "in": _("inches"),
        "32nds": _("32nds of an inch"),
        "ft": _("feet"),
        "psi": _("psi"),
        "psi_per_min": _("psi per minute"),
        "s": _("seconds"),
        "min": _("minutes"),
        "percent": _("percent"),
        "count": _("whole numbers"),
        "gal": _("gallons"),
        "lb": _("pounds"),
        "V": _("volts"),
        "degF": _("degrees Fahrenheit"),
    },
}
