"""What is said about loads, loads at risk and officers' inspections: refusals, history entries and notices."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import Template, register

# Asking whether units may roll
register("no_units", _("Name the units that are to roll."))
register("arrival_before_departure", _("The arrival lies before the departure."))
register("combination_impossible", _("These units cannot run together: one tractor, up to three trailers, none twice."))
register("clearance_unknown", _("There is no such clearance."))

# Loads
register("load_unknown", _("There is no such load."))
register("load_ended", _("Load {load} is delivered or called off."))
register("cooling_unit_elsewhere", _("{unit} is on none of the trailers named. Name the trailer that it cools."))
register("load_elsewhere", _("Load {load} is in {trailer}, which is not among the units."))
register("load_number_taken", _("Another load has this number."))
register(
    "load_number_malformed",
    _("A number has 1 to 40 letters, digits, points, hyphens and underscores, a letter or digit first."),
)
register("load_refused", _("What is said about the load is refused."))
register("setpoint_missing", _("Freight that needs a temperature needs the ordered one."))
register("temperatures_out_of_order", _("The highest temperature lies below the lowest."))
register("setpoint_outside_range", _("The ordered temperature lies outside what is allowed."))
register("trailer_loaded", _("{trailer} has another load in it."))
register("no_cooling_unit", _("The trailer has no cooling unit; freight that needs a temperature stays out of it."))
register(
    "cold_loading_barred",
    _("The trailer takes no new freight that needs a temperature. In the way are these defects: {faults}."),
    title=_("No new cold freight"),
)
register(
    "food_loading_barred",
    _("The trailer takes no food. In the way are these defects: {faults}."),
    title=_("No new food"),
)
register("food_not_disposed", _("Food at risk was in this trailer and nobody has signed what becomes of it."))
register("same_trailer", _("The load is in that trailer already."))
register("load_not_sealed", _("The papers name no seal."))
register("seal_agrees", _("No other seal waits for a decision."))
register("seal_differs", _("{seal_read} was read, not the seal on the papers. Do not open it; call dispatch."))
register_constraint("defects_load_number_key", "load_number_taken")
register_constraint("defects_roadsideinspection_report_number_key", "roadside_report_known")

# Loads at risk
register("load_at_risk_unknown", _("There is no such load at risk."))
register("reading_without_temperature", _("A reading has a temperature: of the return air, of the product, or both."))
register("food_disposition_qualification_needed", _("Only a person qualified for it decides what becomes of the food."))

# Officers' inspections
register("roadside_inspection_unknown", _("There is no such roadside inspection."))
register("roadside_report_known", _("A report of this number is on record already."))
register("violation_unit_not_named", _("The report names no such unit."))
register("violation_refused", _("A violation names something that its unit has not."))
register("roadside_clean", _("A clean inspection owes no answer."))
register("violations_outstanding", _("These defects are not certified repaired: {faults}."))

# In a unit's history
register("history_box_checked_before_loading", _("The box was checked before loading {load}."))
register("history_loaded", _("Load {load} was put into the trailer."))
register("history_unloaded", _("Load {load} was taken out of the trailer."))
register("history_load_changed", _("What was ordered for load {load} was changed."))
register("history_seal_differs", _("The seal of load {load} reads {read}, not {seal} as on the papers."))
register("history_seal_decided", _("Dispatch decided on the seal {read} of load {load}: {decision}"))
register("history_seal_compared", _("The seal of load {load} was compared."))
register("history_load_at_risk_opened", _("Load {load} is at risk through defect {defect}."))
register("history_load_at_risk_joined", _("Load {load} was at risk already; defect {defect} came to it."))
register("history_load_at_risk_entry", _("Of the load at risk was written down: {text}"))
register("history_load_at_risk_disposed", _("What becomes of the food: {disposition}"))
register(
    "history_inspection_queried",
    _("The periodic inspection of {starts_on} is queried: these defects were open: {defects}."),
)
register("history_roadside_inspected", _("An officer inspected it, report {report_number}: {violations} violations."))
register("history_roadside_answered", _("The officer's report {report_number} was answered by {official}, {title}."))

# Notices. Facts: unit, load (its number), class, ordered_f, what, reported_by, at.
register(
    "load_at_risk",
    _(
        "Load {load} on {unit} is at risk: {what}. {class}, {ordered_f} °F ordered. Reported by {reported_by}, {at}. "
        "This alone does not bar the unit from rolling. Have temperatures read, call, and decide what becomes of the "
        "load."
    ),
)
register(
    "dry_load_at_risk",
    _(
        "Load {load} on {unit} is at risk: {what}. It is food. Reported by {reported_by}, {at}. "
        "This alone does not bar the unit from rolling. Call, and decide what becomes of the load."
    ),
)
register("dry_load_at_risk_subject", _("Load {load} on {unit} is at risk"))
# Facts: unit, load, read (what was read), seal (on the papers), reported_by, at.
register(
    "seal_reads_otherwise",
    _(
        "The seal on {unit}, load {load}, reads {read}, not {seal}. Read by {reported_by}, {at}. "
        "Decide what becomes of the load."
    ),
)
register("seal_reads_otherwise_subject", _("Wrong seal on {unit}, load {load}"))
# Facts: unit (as given), what, reported_by, at.
register(
    "fault_on_unknown_unit",
    _("{reported_by} reported on {unit}, {at}: {what}. No unit is called so. Find out which it is, and hold it."),
)
register("fault_on_unknown_unit_subject", _("Fault on an unknown unit: {unit}"))
register("load_at_risk_subject", _("Load {load} on {unit} is at risk"))
# Facts: unit, hold, report_number, officer, state, what, at.
register(
    "order_by_officer",
    _(
        "An officer's order stands on unit {unit}, hold {hold}: {what}. Report {report_number} of {officer}, {state}, "
        "{at}. Nobody may move it until every repair on the report is done."
    ),
)
register("order_by_officer_subject", _("Officer's order on unit {unit}"))
# Facts: report_number, due_on.
register(
    "roadside_answer_due",
    _("The officer's report {report_number} is to be answered by {due_on}, once every violation on it is corrected."),
)
register("roadside_answer_due_subject", _("Answer owed to the officer's report {report_number}"))

# Facts: units, departs_at, why (what bars them, in sentences).
register(
    "answer_flipped",
    _("They are barred now: {units}, leaving at {departs_at}. Ask for clearance anew. {why}"),
)
register("answer_flipped_subject", _("Barred now: {units}"))
register(
    "answer_barred_further",
    _("They are still barred: {units}, leaving at {departs_at}. This has come on top: {why}"),
)
register("answer_barred_further_subject", _("More bars them: {units}"))
# Facts: unit, what (in the driver's own words), reported_by, at.
register(
    "fault_to_grade",
    _(
        'Unit {unit}: "{what}", reported by {reported_by}, {at}. '
        "It bars the unit at least until a foreman has graded it."
    ),
)
register("fault_to_grade_subject", _("Fault to grade on unit {unit}"))
# Facts: unit, what, reported_by, at.
register(
    "fault_before_use",
    _("Unit {unit}: {what}. To be repaired before its next use. Reported by {reported_by}, {at}."),
)
register("fault_before_use_subject", _("Repair before next use: unit {unit}, {what}"))
# Facts: unit, inspected_on, faults (number and name of each).
register(
    "inspection_queried",
    _(
        "Unit {unit}: a periodic inspection of {inspected_on} is on record as passed, though these were found by then "
        "and are open: {faults}. The paper is kept. Every part must pass (49 CFR 396.17(c)): ask the inspector, mend "
        "the paper, or have them repaired."
    ),
)
register(
    "inspection_defects_open",
    _("Found on the day of the inspection and still open: {faults}. Repair them first; it passes then (396.17(c))."),
)
register("inspection_queried_subject", _("Unit {unit}: a passed inspection is queried"))
# Facts: report_number, due_on, days (to it, or since).
register(
    "roadside_answer_due_in",
    _("The officer's report {report_number} is to be answered by {due_on}; days left: {days}."),
)
register("roadside_answer_due_in_subject", _("Answer to the officer's report {report_number}: days left: {days}"))
register("roadside_answer_due_today", _("The officer's report {report_number} is to be answered today, {due_on}."))
register("roadside_answer_due_today_subject", _("Answer to the officer's report {report_number} due today"))
register(
    "roadside_answer_overdue",
    _("The officer's report {report_number} was to be answered by {due_on}; days overdue: {days}."),
)
register("roadside_answer_overdue_subject", _("Answer to the officer's report {report_number} overdue"))
# Facts: unit, reason, at; refused_by where it is said.
register(
    "refusal_by_driver",
    _(
        "{refused_by} refused unit {unit}, {at}: {reason}. It is offered to nobody until a second qualified person has "
        "looked. Nobody may be pressed or punished for a refusal."
    ),
)
register("refusal_by_driver_subject", _("Unit {unit} was refused"))
register(
    "refusal_of_unit",
    _(
        "A driver refused unit {unit}, {at}: {reason}. It is offered to nobody until a second qualified person has "
        "looked. Nobody may be pressed or punished for a refusal."
    ),
)
register("refusal_of_unit_subject", _("Unit {unit} was refused"))
# Facts: unit, looked_by, finding, at.
register(
    "second_look_done",
    _(
        "{looked_by} looked at unit {unit}, which a driver had refused, {at}: {finding}. "
        "Ask for clearance before it rolls."
    ),
)
register("second_look_done_subject", _("A second person looked at unit {unit}"))
# Facts: unit, hold, lifted_by, at.
register(
    "hold_lifted_elsewhere",
    _(
        "{lifted_by}, no foreman of your site, lifted hold {hold} on unit {unit}, {at}: {what}. "
        "Read why, and look at it."
    ),
)
# Facts: unit, firm, signer, defect.
register(
    "firm_to_confirm",
    _(
        "{firm} is not confirmed. {signer} signed for it that defect {defect} on unit {unit} is repaired: {what}. "
        "Ring it up."
    ),
)
register("firm_to_confirm_subject", _("Unit {unit}: confirm the firm {firm}"))
register("hold_lifted_elsewhere_subject", _("Hold {hold} on unit {unit} was lifted elsewhere"))

CLASSES: dict[str, Template] = {
    "frozen": _("Frozen"),
    "chilled": _("Chilled"),
    "protect_from_freezing": _("Protect from freezing"),
    "dry": _("Dry"),
}
for _class, _template in CLASSES.items():
    register(f"class_{_class}", _template)
