"""What is said of defects: refusals, history entries, notifications, and the labels of their code words."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums

DEFECT_STATES: dict[str, Template] = {
    enums.DefectState.REPORTED: _("reported"),
    enums.DefectState.IN_REPAIR: _("in repair"),
    enums.DefectState.DEFERRED: _("deferred"),
    enums.DefectState.CERTIFIED: _("certified repaired, review due"),
    enums.DefectState.CLOSED: _("closed"),
    enums.DefectState.ENTERED_IN_ERROR: _("entered in error"),
}
SEVERITIES: dict[str, Template] = {
    enums.Severity.DO_NOT_MOVE: _("do not move"),
    enums.Severity.BEFORE_NEXT_USE: _("before next use"),
    enums.Severity.NEXT_SHOP_VISIT: _("next shop visit"),
    enums.Severity.WATCH: _("watch"),
}
BARS: dict[str, Template] = {
    enums.Bars.MOVEMENT: _("movement"),
    enums.Bars.FOOD: _("food, cold or dry"),
    enums.Bars.COLD_FREIGHT: _("cold freight"),
    enums.Bars.NOTHING: _("nothing"),
}
AUTHORITIES: dict[str, Template] = {enums.Authority.STATUTORY: _("statutory"), enums.Authority.CARRIER: _("carrier")}
LISTINGS: dict[str, Template] = {
    enums.Listing.SAFETY: _("would affect the safety of operation"),
    enums.Listing.BREAKDOWN: _("would result in a mechanical breakdown"),
    enums.Listing.REGULATION: _("a regulation asks for it"),
    enums.Listing.DRIVER: _("listed by the driver"),
    enums.Listing.UNGRADED: _("in the driver's words, not graded yet"),
    enums.Listing.FOREMAN: _("listed by the foreman"),
    enums.Listing.OFFICER: _("on an officer's report"),
    enums.Listing.NOTED: _("noted for the shop"),
}
SIGHTINGS: dict[str, Template] = {
    enums.SightingHow.NEW: _("new"),
    enums.SightingHow.SEEN_AGAIN: _("seen again"),
    enums.SightingHow.RAISED: _("raised"),
    enums.SightingHow.LATE: _("late, from before its certificate"),
}
MESSAGES: Messages = {
    "defect_unknown": _("There is no such defect."),
    "unit_has_open_defects": _("The unit has open defects or holds. End them first."),
    "graded_already": _("It is already graded. Regrade it instead: {faults}."),
    "severity_and_bars_do_not_match": _("{severity} and bars {bars} do not go together."),
    "below_regulation": _(
        "{source} sets {regulation} here. Only a repair or a measurement within the limit lowers it."
    ),
    "description_refused": _("The unit has no such point, place or condition."),
    "fault_already_open": _("The same fault is already open: {faults}."),
    "worked_on_already": _("Work was done on it. Certify the repair instead: {faults}."),
    "error_without_evidence": _("An error in entry needs evidence here: {evidence}."),
    "second_person_needed": _("Somebody who did not find it must measure or look."),
    "inspection_defects_open": _(
        "Found on the day of the inspection and still open: {faults}. Repair them first; it passes then (396.17(c))."
    ),
    # In a unit's history
    "history_inspection_flagged": _(
        "The periodic inspection of {starts_on} is flagged. These defects were open: {defects}."
    ),
    "history_defect_reported": _("Defect {defect} was reported."),
    "history_defect_seen_again": _("Defect {defect} was seen again."),
    "history_defect_raised": _("Defect {defect} was raised: {severity}."),
    "history_defect_seen_late": _("Defect {defect}: a report from before its certificate was received."),
    "history_defect_closed": _("Defect {defect} was closed."),
    "history_defect_graded": _("Defect {defect} was graded: {severity}. {reason}"),
    "history_defect_regraded": _("Defect {defect} was regraded: {severity}. {reason}"),
    "history_defect_entered_in_error": _("Defect {defect} was entered in error. {reason}"),
    "history_defect_reopened": _("Defect {defect} was reopened. {reason}"),
    # Notifications
    # Facts: unit, what (in the driver's own words), reported_by, at.
    "fault_to_grade": _(
        'Unit {unit}: "{what}", reported by {reported_by}, {at}. Grade it. Called unsafe, it bars until certified.'
    ),
    "fault_to_grade_subject": _("Fault to grade on unit {unit}"),
    # Facts: unit, what, reported_by, at.
    "fault_before_use": _("Unit {unit}: {what}. To be repaired before its next use. Reported by {reported_by}, {at}."),
    "fault_before_use_subject": _("Repair before next use: unit {unit}, {what}"),
    # Facts: unit, inspected_on, faults (number and name of each).
    "inspection_flagged": _(
        "Unit {unit}: the periodic inspection of {inspected_on} is recorded as passed. These faults were "
        "already found and are open: {faults}. The document is kept. Every part must pass (49 CFR "
        "396.17(c)). Ask the inspector, correct the document, or have them repaired."
    ),
    "inspection_flagged_subject": _("Unit {unit}: a passed inspection is flagged"),
}
