"""Why something on a signed report must be looked at: `query_` before the code. Short, for a driver with cold hands."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Words

MESSAGES: Messages = {
    # The unit, the point, the place
    "flag_unit_unknown": _("No unit {unit} on record. Kept for the foreman."),
    "flag_unit_named_twice": _("{unit} is named twice. Taken as one report."),
    "flag_unit_fact_unusable": _("{given} cannot be right for {unit}. Look again."),
    "flag_unit_kind_differs": _("{unit} is on record as another kind of unit."),
    "flag_unit_vin_known": _("{given} is on record as a different unit from {unit}."),
    "flag_unit_fact_differs": _("On record for {unit} is {recorded}, not {given}. Look again."),
    "flag_point_unknown": _("Unknown check {point}."),
    "flag_point_retired": _("This check ended on {retired_on}."),
    "flag_point_not_for_unit_kind": _("This check does not belong to this kind of unit."),
    "flag_place_missing": _("Name the place."),
    "flag_place_unknown": _("This unit has no place {place}."),
    "flag_does_not_apply": _("This check does not apply to this unit."),
    "flag_applies_to_this_unit": _("This unit has it. It cannot be left out."),
    # The answer
    "flag_answer_unknown": _("Unknown answer {answer}. Use fine, defect, corrected, not_applicable or not_reached."),
    "flag_answer_contradicts_value": _("The answer contradicts the value {value}."),
    "flag_answered_twice": _("Answered both as fine and as a defect. The defect stays."),
    "flag_answer_contradicts_finding": _("A fault is named, but the answer reports none."),
    "flag_finding_unknown": _("This check has no fault named {finding}."),
    "flag_needs_qualified_person": _("Only a qualified person can pass this check."),
    "flag_reason_missing": _("Give the reason it was not reached."),
    "flag_reason_does_not_fit": _("The reason does not explain why this was not reached."),
    # The legs signed for
    "flag_leg_without_list": _("The list of checks is missing. Leg {leg} does not count."),
    "flag_leg_without_sentence": _("Leg {leg} lacks the walk's signed statement. It does not count."),
    "flag_leg_not_of_this_walk": _("This unit has no leg {leg}. It does not count."),
    "flag_leg_time_without_offset": _("The time of leg {leg} has no UTC offset. It does not count."),
    "flag_leg_time_implausible": _("The time of leg {leg} does not fit. It does not count."),
    # The value
    "flag_value_missing": _("A value is missing."),
    "flag_measured_twice": _("Measured twice with different values. The first counts. Every fault stays."),
    "flag_value_not_asked": _("This check takes no value. {value} is set aside."),
    "flag_value_unreadable": _("The value cannot be read as a number. Write it in digits, as 2.31."),
    "flag_value_implausible": _("{value} is outside {minimum} to {maximum}. Measure again."),
    "flag_value_within_limits": _("{value} is within limits, but a fault is reported. It stays a fault."),
    "flag_unit_missing": _("The unit of measure is missing. The value is asked for in {expected}."),
    "flag_unit_wrong": _("The value is in {given}. Measure again in {expected}."),
    "flag_limit_unknown": _("The limit is not known for this unit. The shop must look."),
    "flag_condition_unknown": _("A deciding fact is unknown. The stricter reading applies."),
    # Put right on the spot
    "flag_correction_incomplete": _("A correction on the spot needs what, who and a photo. Missing: {missing}."),
    "flag_correction_still_fails": _("{value} is still past the limit. It stays a fault."),
    "flag_not_correctable_on_the_spot": _("This cannot be fixed on the spot. It stays a fault."),
    # Meters: facts are meter and shown
    "flag_negative": _("Not a possible reading: {shown}."),
    "flag_future": _("The reading {shown} is dated in the future. Set aside."),
    "flag_falling": _("{shown} is below the last reading. Set aside."),
    "flag_implausible": _("{shown} is too far from the last reading. Set aside."),
    "flag_meter_of_unknown_unit": _("{shown} is for an unknown unit. Set aside."),
    "flag_time_unknown": _("The time of reading {shown} is unknown. Set aside."),
    "flag_meter_not_on_unit": _("This unit has no such meter."),
    "flag_read_twice": _("This meter was read twice. The first reading counts."),
    # The walk-around itself
    "flag_clock_skewed": _("The phone's clock is wrong. Times were corrected."),
    "flag_clock_ahead": _("The phone's clock is ahead. The time is unknown: walk again."),
    "flag_clock_behind": _("The phone's clock is far behind. The time is unknown: walk again."),
    "flag_walk_times_implausible": _("The start and end of the walk do not fit together."),
    "flag_walk_too_short": _("The walk took less than a second for each answer. The foreman will ask."),
    "flag_signed_at_implausible": _("The time of the signature does not fit what was signed."),
    "flag_not_a_combination": _("These units cannot be combined. The recorded combination stays."),
    "flag_combination_confirmed_since": _("A later walk-around saw another combination. That one stays."),
    "flag_catalogue_unknown": _("The phone's list of checks is unknown. Load it again."),
    "flag_site_unknown": _("No site {site} on record."),
    "flag_team_mate_unknown": _("No person named {team_mate} on record."),
    # What was sent itself: `field` is its place there
    "flag_field_unknown": _("Unknown field {field}. Kept as sent."),
    "flag_field_missing": _("{field} is missing."),
    "flag_field_set_aside": _("{field} cannot be read. Kept as sent."),
    "flag_field_of_other_kind": _("{field} is not of the expected type. It was read as far as possible."),
    "flag_field_changed": _("{field} has characters that cannot be shown. Kept as sent."),
    "flag_field_cut": _("{field} is too long. Only its beginning is shown."),
    "flag_list_cut": _("{field} has too many items. The foreman gets the rest."),
    "flag_instant_without_zone": _("{field} has no UTC offset. It was read as local time."),
    "flag_instant_out_of_reach": _("{field} cannot be right. The nearest possible time is used."),
    "flag_more_fields_odd": _("{count} more fields could not be read."),
    "flag_defect_not_of_unit": _("Defect {defect} is none of this unit. Kept as sent."),
    "flag_nothing_reported": _("There is no report in it."),
    "flag_time_not_given": _("The time of the walk is missing. Walk again."),
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
    }
}
