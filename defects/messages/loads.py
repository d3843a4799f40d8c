"""What is said of loads, their seals and loads at risk."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template, Wording
from defects import enums

STATES: dict[str, Template] = {
    enums.LoadState.PLANNED: _("planned"),
    enums.LoadState.LOADED: _("loaded"),
    enums.LoadState.DELIVERED: _("delivered"),
    enums.LoadState.CANCELLED: _("cancelled"),
}
CLASSES: dict[str, Template] = {
    "frozen": _("Frozen"),
    "chilled": _("Chilled"),
    "protect_from_freezing": _("Protect from freezing"),
    "dry": _("Dry"),
}
RISK_CAUSES: dict[str, Template] = {
    enums.RiskCause.PRODUCT_TOO_WARM: _("product loaded too warm"),
    enums.RiskCause.PRODUCT_TOO_COLD: _("product loaded too cold"),
    enums.RiskCause.AIR_OUTSIDE_RANGE: _("air outside its range too long"),
}

MESSAGES: Messages = {
    **{f"class_{name}": template for name, template in CLASSES.items()},
    "load_unknown": _("There is no such load."),
    "load_ended": _("Load {load} is delivered or cancelled."),
    "load_number_taken": _("This load number is in use."),
    "load_number_malformed": _(
        "A number has 1 to 40 letters, digits, points, hyphens and underscores, a letter or digit first."
    ),
    "load_refused": _("The load is not valid."),
    "setpoint_missing": _("Temperature-controlled freight needs its ordered temperature."),
    "temperatures_out_of_order": _("The highest temperature is below the lowest."),
    "doors_closed_before_opening": _("The doors close before they open."),
    "permit_without_weight": _("Say which weight the permit allows."),
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
    "seal_agrees": _("No other seal waits for a decision."),
    "seal_differs": _("Seal {seal_read} is not the seal on the shipping papers. Do not open it. Call dispatch."),
    # Loads at risk, and by what where it is no fault
    "at_risk_product_too_warm": _("Product loaded at {product_f} °F, ordered at most {limit_f} °F"),
    "at_risk_product_too_cold": _("Product loaded at {product_f} °F, ordered at least {limit_f} °F"),
    "at_risk_product_corrected": _("Product temperature or ordered range corrected since"),
    "at_risk_air_outside_range": _("Air outside its range for {minutes} minutes"),
    "load_at_risk_unknown": _("There is no such load at risk."),
    "reading_without_temperature": _("A reading has a temperature: of the return air, of the product, or both."),
    "food_disposition_qualification_needed": _("Only a qualified person decides the disposition of the food."),
    # In a unit's history
    "history_box_checked_before_loading": _("The box was checked before loading {load}."),
    "history_loaded": _("Load {load} was put into the trailer."),
    "history_unloaded": _("Load {load} was taken out of the trailer."),
    "history_load_changed": _("The order for load {load} was changed."),
    "history_seal_differs": _("The seal of load {load} reads {read}, not {seal} as on the shipping papers."),
    "history_seal_decided": _("Dispatch decided on the seal {read} of load {load}: {decision}"),
    "history_seal_compared": _("The seal of load {load} was compared."),
    "history_load_at_risk_opened": _("Load {load} is at risk through defect {defect}."),
    "history_load_at_risk_joined": _("Load {load} was already at risk. Defect {defect} was added."),
    "history_load_out_of_range": _("Load {load} is at risk: {risk_cause}."),
    "history_load_at_risk_entry": _("Load at risk, note: {text}"),
    "history_load_at_risk_disposed": _("Disposition of the food: {disposition}"),
    # Notifications
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
    "load_at_risk_subject": _("Load {load} on {unit} is at risk"),
}
CONSTRAINTS = {"defects_load_number_key": "load_number_taken"}
