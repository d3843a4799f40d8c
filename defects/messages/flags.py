"""Why something on a signed report must be looked at: `query_` before the code. Short, for a driver with cold hands."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Words

MESSAGES: Messages = {
    # The unit, the point, the place
    "query_unit_unknown": _("No unit {unit} on record. Kept for the foreman."),
    "query_unit_named_twice": _("{unit} is named twice. Taken as one report."),
    "query_unit_fact_unusable": _("{given} cannot be right for {unit}. Look again."),
    "query_unit_kind_differs": _("{unit} is on record as another kind of unit."),
    "query_unit_vin_known": _("{given} is on record as a different unit from {unit}."),
    "query_unit_fact_differs": _("On record for {unit} is {recorded}, not {given}. Look again."),
    "query_point_unknown": _("Unknown check {point}."),
    "query_point_retired": _("This check ended on {retired_on}."),
    "query_point_not_for_unit_kind": _("This check does not belong to this kind of unit."),
    "query_place_missing": _("Name the place."),
    "query_place_unknown": _("This unit has no place {place}."),
    "query_does_not_apply": _("This check does not apply to this unit."),
    "query_applies_to_this_unit": _("This unit has it. It cannot be left out."),
    # The answer
    "query_answer_unknown": _("Unknown answer {answer}. Use fine, defect, corrected, not_applicable or not_reached."),
    "query_answer_contradicts_value": _("The answer contradicts the value {value}."),
    "query_answer_contradicts_finding": _("A fault is named, but the answer reports none."),
    "query_finding_unknown": _("This check has no fault named {finding}."),
    "query_needs_qualified_person": _("Only a qualified person can pass this check."),
    "query_reason_missing": _("Give the reason it was not reached."),
    "query_reason_does_not_fit": _("The reason does not explain why this was not reached."),
    # The legs signed for
    "query_leg_without_list": _("The list of checks is missing. Leg {leg} does not count."),
    "query_leg_without_sentence": _("Leg {leg} lacks the walk's signed statement. It does not count."),
    "query_leg_not_of_this_walk": _("This unit has no leg {leg}. It does not count."),
    "query_leg_time_implausible": _("The time of leg {leg} does not fit. It does not count."),
    # The value
    "query_value_missing": _("A value is missing."),
    "query_measured_twice": _("Measured twice with different values. The first counts. Every fault stays."),
    "query_value_not_asked": _("This check takes no value. {value} is set aside."),
    "query_value_unreadable": _("The value cannot be read as a number. Write it in digits, as 2.31."),
    "query_value_implausible": _("{value} is outside {minimum} to {maximum}. Measure again."),
    "query_value_within_limits": _("{value} is within limits, but a fault is reported. It stays a fault."),
    "query_unit_missing": _("The unit of measure is missing. The value is asked for in {expected}."),
    "query_unit_wrong": _("The value is in {given}. Measure again in {expected}."),
    "query_limit_unknown": _("The limit is not known for this unit. The shop must look."),
    "query_condition_unknown": _("A deciding fact is unknown. The stricter reading applies."),
    # Put right on the spot
    "query_correction_incomplete": _("A correction on the spot needs what, who and a photo. Missing: {missing}."),
    "query_correction_still_fails": _("{value} is still past the limit. It stays a fault."),
    "query_not_correctable_on_the_spot": _("This cannot be fixed on the spot. It stays a fault."),
    # Meters: facts are meter and shown
    "query_negative": _("Not a possible reading: {shown}."),
    "query_future": _("The reading {shown} is dated in the future. Set aside."),
    "query_falling": _("{shown} is below the last reading. Set aside."),
    "query_implausible": _("{shown} is too far from the last reading. Set aside."),
    "query_meter_of_unknown_unit": _("{shown} is for an unknown unit. Set aside."),
    "query_time_unknown": _("The time of reading {shown} is unknown. Set aside."),
    "query_meter_not_on_unit": _("This unit has no such meter."),
    "query_read_twice": _("This meter was read twice. The first reading counts."),
    # The walk-around itself
    "query_clock_skewed": _("The phone's clock is wrong. Times were corrected."),
    "query_clock_ahead": _("The phone's clock is ahead. The time is unknown: walk again."),
    "query_clock_behind": _("The phone's clock is far behind. The time is unknown: walk again."),
    "query_walk_times_implausible": _("The walk ends before it starts."),
    "query_signed_at_implausible": _("The time of the signature does not fit the walk."),
    "query_not_a_combination": _("These units cannot be combined. The recorded combination stays."),
    "query_catalogue_unknown": _("The phone's list of checks is unknown. Load it again."),
    "query_site_unknown": _("No site {site} on record."),
    "query_team_mate_unknown": _("No person named {team_mate} on record."),
    # What was sent itself: `field` is its place there
    "query_field_unknown": _("Unknown field {field}. Kept as sent."),
    "query_field_missing": _("{field} is missing."),
    "query_field_set_aside": _("{field} cannot be read. Kept as sent."),
    "query_field_changed": _("{field} has characters that cannot be shown. Kept as sent."),
    "query_field_cut": _("{field} is too long. Only its beginning is shown."),
    "query_list_cut": _("{field} has too many items. The foreman gets the rest."),
    "query_instant_without_zone": _("{field} has no UTC offset. It was read as local time."),
    "query_instant_out_of_reach": _("{field} cannot be right. The nearest possible time is used."),
    "query_more_fields_odd": _("{count} more fields could not be read."),
    "query_nothing_reported": _("There is no report in it."),
    "query_time_not_given": _("The time of the walk is missing. Walk again."),
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
