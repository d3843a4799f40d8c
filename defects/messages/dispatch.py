"""What is said about loads, loads at risk and officers' inspections: refusals, history entries and notifications."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template, Wording

CLASSES: dict[str, Template] = {
    "frozen": _("Frozen"),
    "chilled": _("Chilled"),
    "protect_from_freezing": _("Protect from freezing"),
    "dry": _("Dry"),
}

MESSAGES: Messages = {
    **{f"class_{name}": template for name, template in CLASSES.items()},
    # Asking whether units may roll
    "no_units": _("Name the units that are to roll."),
    "arrival_before_departure": _("The arrival is before the departure."),
    "combination_impossible": _("These units cannot run together: one tractor, up to three trailers, none twice."),
    "clearance_unknown": _("There is no such clearance."),
    # Loads
    "load_unknown": _("There is no such load."),
    "load_ended": _("Load {load} is delivered or cancelled."),
    "cooling_unit_elsewhere": _("{unit} is on none of these trailers. Name its trailer."),
    "load_elsewhere": _("Load {load} is in {trailer}. Name that trailer too."),
    "load_number_taken": _("This load number is in use."),
    "load_number_malformed": _(
        "A number has 1 to 40 letters, digits, points, hyphens and underscores, a letter or digit first."
    ),
    "load_refused": _("The load is not valid."),
    "setpoint_missing": _("Temperature-controlled freight needs its ordered temperature."),
    "temperatures_out_of_order": _("The highest temperature is below the lowest."),
    "doors_closed_before_opening": _("The doors close before they open."),
    "weight_implausible": _("No load weighs that. Give {least} to {most} lb."),
    "setpoint_outside_range": _("The ordered temperature is outside the allowed range."),
    "temperature_implausible": _("This temperature cannot be right. Give -40 to 90 °F."),
    "trailer_loaded": _("{trailer} has another load aboard."),
    "no_cooling_unit": _("The trailer has no cooling unit and takes no temperature-controlled freight."),
    "cold_loading_barred": Wording(
        _("The trailer takes no new temperature-controlled freight. Defects: {faults}."), _("No new cold freight")
    ),
    "food_loading_barred": Wording(_("The trailer takes no food. Defects: {faults}."), _("No new food")),
    "food_not_disposed": _("Food at risk in this trailer awaits its signed disposition."),
    "same_trailer": _("The load is already in that trailer."),
    "load_not_sealed": _("The shipping papers name no seal."),
    "not_a_tractor": _("{unit} is not a tractor."),
    "scale_ticket_refused": _("The scale ticket does not fit."),
    "scale_ticket_does_not_add_up": _("The axle weights do not add up to the gross weight. Read them again."),
    "scale_ticket_axles_differ": _("The units on record have another number of axles. Count them again."),
    "scale_ticket_implausible": _("No axle weighs that. Give {least} to {most} lb for each."),
    "seal_agrees": _("No other seal waits for a decision."),
    "seal_differs": _("Seal {seal_read} is not the seal on the shipping papers. Do not open it. Call dispatch."),
    "product_too_warm": _("Product loaded at {product_f} °F, ordered at most {limit_f} °F."),
    "product_too_cold": _("Product loaded at {product_f} °F, ordered at least {limit_f} °F."),
    # Loads at risk
    "load_at_risk_unknown": _("There is no such load at risk."),
    "reading_without_temperature": _("A reading has a temperature: of the return air, of the product, or both."),
    "food_disposition_qualification_needed": _("Only a qualified person decides the disposition of the food."),
    # Officers' inspections
    "roadside_inspection_unknown": _("There is no such roadside inspection."),
    "roadside_report_known": _("A report with this number already exists."),
    "violation_unit_not_named": _("The report names no such unit."),
    "violation_refused": _("A violation refers to a part this unit does not have."),
    "roadside_clean": _("A clean inspection needs no answer."),
    "violations_outstanding": _("These defects are not certified repaired: {faults}."),
    # How tires wear
    "tire_place_unknown": _("{unit} has no tire at this place."),
    "tire_there_already": _("Tire {casing} is on record at this place already."),
    "tire_not_enough_readings": _("Not enough readings to say when it wears out."),
    "tire_no_wear_seen": _("Its readings show no wear yet."),
    "tire_miles_unknown": _("No odometer readings go with it. Read the odometer at each measurement."),
    "tire_wears": _("It may be at {limit}/32 in after {miles_left} more miles."),
    "tire_wears_until": _("Expected at {limit}/32 in on {expected_on}, possibly as early as {limit_on}."),
    # In a unit's history
    "history_box_checked_before_loading": _("The box was checked before loading {load}."),
    "history_loaded": _("Load {load} was put into the trailer."),
    "history_unloaded": _("Load {load} was taken out of the trailer."),
    "history_load_changed": _("The order for load {load} was changed."),
    "history_seal_differs": _("The seal of load {load} reads {read}, not {seal} as on the shipping papers."),
    "history_seal_decided": _("Dispatch decided on the seal {read} of load {load}: {decision}"),
    "history_load_weighed": _("Load {load} was weighed at {scale}: {gross_lb} lb gross."),
    "history_seal_compared": _("The seal of load {load} was compared."),
    "history_load_at_risk_opened": _("Load {load} is at risk through defect {defect}."),
    "history_load_at_risk_joined": _("Load {load} was already at risk. Defect {defect} was added."),
    "history_load_at_risk_entry": _("Load at risk, note: {text}"),
    "history_load_at_risk_disposed": _("Disposition of the food: {disposition}"),
    "history_inspection_flagged": _(
        "The periodic inspection of {starts_on} is flagged. These defects were open: {defects}."
    ),
    "history_roadside_inspected": _("An officer inspected it, report {report_number}: {violations} violations."),
    "history_roadside_answered": _("The officer's report {report_number} was answered by {official}, {title}."),
    # Notifications. Facts: unit, load (its number), class, ordered_f, what, reported_by, at.
    "load_at_risk": _(
        "Load {load} on {unit} is at risk: {what}. {class}, {ordered_f} °F ordered. Reported by "
        "{reported_by}, {at}. This alone does not bar the unit. Have temperatures read, call, and decide the "
        "disposition of the load."
    ),
    "dry_load_at_risk": _(
        "Load {load} on {unit} is at risk: {what}. It is food. Reported by {reported_by}, {at}. This alone "
        "does not bar the unit. Call, and decide the disposition of the load."
    ),
    "dry_load_at_risk_subject": _("Load {load} on {unit} is at risk"),
    # Facts: unit, load, read (what was read), seal (on the papers), reported_by, at.
    "seal_reads_otherwise": _(
        "The seal on {unit}, load {load}, reads {read}, not {seal}. Read by {reported_by}, {at}. Decide about the load."
    ),
    "seal_reads_otherwise_subject": _("Wrong seal on {unit}, load {load}"),
    # Facts: unit (as given), what, reported_by, at.
    "fault_on_unknown_unit": _(
        "{reported_by} reported on {unit}, {at}: {what}. No unit has this number. Find the unit and hold it."
    ),
    "fault_on_unknown_unit_subject": _("Fault on an unknown unit: {unit}"),
    "load_at_risk_subject": _("Load {load} on {unit} is at risk"),
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
    # Facts: units, departs_at, why (what bars them, in sentences).
    "clearance_barred": _("{units}, leaving {departs_at}: now barred. Request clearance again. {why}"),
    "clearance_barred_subject": _("Barred now: {units}"),
    "answer_barred_further": _("{units}, leaving {departs_at}: still barred. New: {why}"),
    "answer_barred_further_subject": _("Further bars: {units}"),
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
    "inspection_defects_open": _(
        "Found on the day of the inspection and still open: {faults}. Repair them first; it passes then (396.17(c))."
    ),
    "inspection_flagged_subject": _("Unit {unit}: a passed inspection is flagged"),
    # Facts: report_number, due_on, days (to it, or since).
    "roadside_answer_due_in": _("Answer the officer's report {report_number} by {due_on}. Days left: {days}."),
    "roadside_answer_due_in_subject": _("Answer to the officer's report {report_number}: days left: {days}"),
    "roadside_answer_due_today": _("Answer the officer's report {report_number} today, {due_on}."),
    "roadside_answer_due_today_subject": _("Answer to the officer's report {report_number} due today"),
    "roadside_answer_overdue": _(
        "The answer to the officer's report {report_number} was due {due_on}. Days overdue: {days}."
    ),
    "roadside_answer_overdue_subject": _("Answer to the officer's report {report_number} overdue"),
    # Facts: unit, reason, at; refused_by where it is said.
    "refusal_by_driver": _(
        "{refused_by} refused unit {unit}, {at}: {reason}. Do not offer it until a second qualified person "
        "has looked. Nobody may be pressed or punished for a refusal."
    ),
    "refusal_by_driver_subject": _("Unit {unit} was refused"),
    "refusal_of_unit": _(
        "A driver refused unit {unit}, {at}: {reason}. Do not offer it until a second qualified person has "
        "looked. Nobody may be pressed or punished for a refusal."
    ),
    "refusal_of_unit_subject": _("Unit {unit} was refused"),
    # Facts: unit, looked_by, finding, at.
    "second_look_done": _(
        "{looked_by} looked at refused unit {unit}, {at}: {finding}. Request clearance before it rolls."
    ),
    "second_look_done_subject": _("A second person looked at unit {unit}"),
    # Facts: unit, hold, lifted_by, at.
    "hold_lifted_elsewhere": _(
        "{lifted_by}, not a foreman of your site, lifted hold {hold} on unit {unit}, {at}: {what}. Read the "
        "reason and check it."
    ),
    # Facts: unit, firm, signer, defect.
    "firm_to_confirm": _(
        "{firm} is not confirmed. {signer} signed for it: defect {defect} on unit {unit} repaired: {what}. "
        "Call the firm."
    ),
    # Facts: unit, reported_by, at; hold, or order of the shop, and what either is for.
    "held_unit_on_road": _(
        "{reported_by} reports unit {unit} on the road, {at}, under hold {hold}: {what}. Call the driver."
    ),
    "held_unit_on_road_subject": _("Unit {unit} on the road under hold {hold}"),
    "unit_in_shop_on_road": _(
        "{reported_by} reports unit {unit} on the road, {at}, with work begun on order {order}: {what}. "
        "Call the driver."
    ),
    "unit_in_shop_on_road_subject": _("Unit {unit} on the road with work begun on order {order}"),
    "firm_to_confirm_subject": _("Unit {unit}: confirm the firm {firm}"),
    "hold_lifted_elsewhere_subject": _("Hold {hold} on unit {unit} was lifted from another site"),
}
CONSTRAINTS = {
    "defects_load_number_key": "load_number_taken",
    "defects_roadsideinspection_report_number_key": "roadside_report_known",
}
