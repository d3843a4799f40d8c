"""What is said of officers' inspections."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums

STATES: dict[str, Template] = {
    enums.RoadsideState.ANSWER_DUE: _("answer due"),
    enums.RoadsideState.ANSWERED: _("answered"),
}
MESSAGES: Messages = {
    "roadside_inspection_unknown": _("There is no such roadside inspection."),
    "roadside_report_known": _("A report with this number already exists."),
    "violation_unit_not_named": _("The report names no such unit."),
    "violation_refused": _("A violation refers to a part this unit does not have."),
    "roadside_clean": _("A clean inspection needs no answer."),
    "violations_outstanding": _("These defects are not certified repaired: {faults}."),
    # In a unit's history
    "history_roadside_inspected": _("An officer inspected it, report {report_number}: {violations} violations."),
    "history_roadside_answered": _("The officer's report {report_number} was answered by {official}, {title}."),
    # Notifications
    # Facts: unit, hold, report_number, officer, state, what, at.
    "order_by_officer": _(
        "Out of service by an officer: unit {unit}, hold {hold}: {what}. Report {report_number} of "
        "{officer}, {us_state}, {at}. Do not move it until every repair on the report is done."
    ),
    "order_by_officer_subject": _("Officer's order on unit {unit}"),
    # Facts: report_number, due_on.
    "roadside_answer_due": _(
        "Answer the officer's report {report_number} by {due_on}, once every violation is corrected."
    ),
    "roadside_answer_due_subject": _("Answer due to the officer's report {report_number}"),
    # Facts: report_number, due_on, days (to it, or since).
    "roadside_answer_due_in": _("Answer the officer's report {report_number} by {due_on}. Days left: {days}."),
    "roadside_answer_due_in_subject": _("Answer to the officer's report {report_number}: days left: {days}"),
    "roadside_answer_due_today": _("Answer the officer's report {report_number} today, {due_on}."),
    "roadside_answer_due_today_subject": _("Answer to the officer's report {report_number} due today"),
    "roadside_answer_overdue": _(
        "The answer to the officer's report {report_number} was due {due_on}. Days overdue: {days}."
    ),
    "roadside_answer_overdue_subject": _("Answer to the officer's report {report_number} overdue"),
}
CONSTRAINTS = {"defects_roadsideinspection_report_number_key": "roadside_report_known"}
