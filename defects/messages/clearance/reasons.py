"""The sentences of answers to dispatch: each reason, each unknown, and what ends it.

Written for a driver with cold hands: short, what stands against it, nothing about safety.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects.enums import NotReached
from defects.rules.catalogue.closed_sets import PartGroup
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.weights import WeightUnknown

REASONS: dict[Code, Template] = {
    Code.CARRIER_HOLD: _("{unit}: hold {hold} is active."),
    Code.OFFICERS_ORDER: _(
        "{unit}: out of service by an officer, hold {hold}. Do not move it until every repair is done."
    ),
    Code.DEFECT_NOT_CERTIFIED: _(
        "{unit}: {what}. Defect {defect} needs its certificate before {unit} is operated again."
    ),
    Code.CARRIER_DEFECT: _("{unit}: {what}. Defect {defect} bars it by the carrier's rule."),
    Code.DEFECT_NOT_GRADED: _("{unit}: {what}. The foreman has not graded defect {defect} yet."),
    Code.DEFERRAL_OVER: _("{unit}: {what}. The deferral of defect {defect} is over."),
    Code.DEFERRAL_ENDS_BEFORE_ARRIVAL: _("{unit}: {what}. The deferral of defect {defect} ends before arrival."),
    Code.BRAKE_SHARE: _(
        "{defective} of {brakes} service brakes of this combination are defective: one in five or more."
    ),
    Code.STEERING_AXLE_BRAKE: _("A service brake on a steering axle is defective: {places}."),
    Code.REFUSAL_NOT_LOOKED_AT: _("{unit}: refused by a driver. A second qualified person must look."),
    Code.DOCUMENT_MISSING: _("{unit}, {document}: none on record."),
    Code.DOCUMENT_NOT_BEGUN: _("{unit}, {document}: not valid yet at departure."),
    Code.DOCUMENT_EXPIRED: _("{unit}, {document}: expired."),
    Code.DOCUMENT_ENDS_BEFORE_ARRIVAL: _(
        "{unit}, {document}: expires {last_day}, before arrival plus the carrier's margin."
    ),
    Code.OTHERS_INSPECTION_DATE_MISSING: _("{unit}, third-party unit: its inspection date is not recorded."),
    Code.OTHERS_PLATE_MISSING: _("{unit}, third-party unit: its plate is not recorded."),
    Code.OTHERS_OWNER_MISSING: _("{unit}, third-party unit: its owner is not recorded."),
    Code.COLD_DEFECT: _("{unit}: {what}. Defect {defect} bars new temperature-controlled freight, not dry freight."),
    Code.FOOD_DEFECT: _("{unit}: {what}. Defect {defect} bars new food, cold or dry."),
    Code.TO_PUT_RIGHT: _("{unit}: {what}. {put_right}, then answer it again."),
    Code.COOLING_UNIT_MISSING: _("The load needs a temperature. Name its cooling unit."),
    Code.WORK_IN_PROGRESS: _("{unit} is in the shop, order {order}: {work}."),
    Code.COLD_WORK_IN_PROGRESS: _(
        "{unit} is in the shop, order {order}: {work}. No new cold freight until it is done."
    ),
    Code.WALK_DUE: _("{unit}: walk-around due: {why}."),
    Code.NO_ANSWER_RECORDED: _("{unit}: no answer yet: {points}."),
    Code.REVIEW_NOT_SIGNED: _("{unit}: read the last defect report and certificates, then sign."),
    Code.FUEL_TO_ADD: _("{unit}: add {add_gal} gallons of fuel, counted as always running."),
    Code.PRE_COOL: _("{unit}: box at {air_f} °F. Pre-cool it to {target_f} °F before loading."),
    Code.LOAD_OUTSIDE_RANGE: _("The load was outside its range for {minutes} minutes. Call dispatch."),
    Code.PRODUCT_TOO_WARM: _("Product loaded at {product_f} °F, ordered at most {limit_f} °F. Call dispatch."),
    Code.PRODUCT_TOO_COLD: _("Product loaded at {product_f} °F, ordered at least {limit_f} °F. Call dispatch."),
    Code.UNITS_TO_COUPLE: _("Couple the units: {units}."),
    Code.UNITS_TO_UNCOUPLE: _("Uncouple from {units} first."),
    Code.FOOD_NOT_DISPOSED: _("{unit}: food at risk awaits its signed disposition. No new cold freight until then."),
    Code.SEAL_DIFFERS: _("Seal {seal_read} is not the seal on the shipping papers. Do not open it. Call dispatch."),
    Code.SEAL_TO_CHECK: _("Compare the seal with the shipping papers."),
    Code.LOAD_AT_RISK_UNDECIDED: _("{unit}: its load is at risk and awaits a decision."),
    Code.AREA_NOT_REACHED: _("{unit}: {area} not checked: {why}."),
    Code.RESTS_ON_PRE_LOAD_CHECK: _("{unit}: {area} not checked, sealed. The check before loading counts."),
    Code.DEFERRAL_LIMIT_UNKNOWN: _("{unit}: {what}. Defect {defect} is deferred by miles or hours. They are unknown."),
    Code.AXLES_NOT_RECORDED: _("{unit}: axles not recorded. How many brakes and tires it has is not known."),
    Code.BRAKE_COUNT_UNKNOWN: _("{defective} service brakes are defective. The number of brakes is not recorded."),
    Code.COLD_DEFECT_LOAD_UNKNOWN: _(
        "{unit}: {what}. Defect {defect} would bar temperature-controlled freight. Name the load."
    ),
    Code.FOOD_DEFECT_LOAD_UNKNOWN: _("{unit}: {what}. Defect {defect} would bar food, cold or dry. Name the load."),
    Code.RECORD_UNREADABLE: _("{unit}: a record cannot be read. Tell an administrator."),
    Code.PHOTO_AWAITED: _("{unit}: {what}. The photo of its repair has not arrived. Send it."),
    Code.FUEL_UNKNOWN: _("{unit}: fuel level or burn rate unknown."),
    Code.ORDERED_TEMPERATURE_UNKNOWN: _("The load needs a temperature. None is ordered in writing."),
    Code.OTHER_LOAD_IN_THE_WAY: _("{unit}: load {load} is aboard. Unload it first."),
    Code.COLD_WORK_LOAD_UNKNOWN: _(
        "{unit} is in the shop, order {order}: {work}. It would bar cold freight. Name the load."
    ),
    Code.WORK_PAUSED: _("{unit}: work on order {order} is paused, signed fit to move. Undone: {undone}"),
    Code.DRIVER_NOT_ON_RECORD: _("The driver named holds no driver's role today."),
    Code.DEFECT_OPEN: _("{unit}: {what}. Defect {defect} is open and does not bar this."),
    Code.DEFECT_DEFERRED: _("{unit}: {what}. Defect {defect} is deferred until {limits}."),
    Code.LIMITED_MOVE: _("{unit}: one trip permitted: {to_place}, {distance_mi} miles, by {name}, until {ends_at}."),
    Code.LIMITED_MOVE_PASSED: _("{unit}: the permitted trip to {to_place} ran out {ends_at}. Call the foreman."),
    Code.LIMITED_MOVE_UNMETERED: _(
        "{unit}: miles of the permitted trip not known, {distance_mi} permitted. Read the odometer."
    ),
    Code.FULL_WALK_DUE: _("{units}: no complete full walk in {days} days. Walk by the full form."),
    Code.FUEL_LOST: _("{unit}: {lost_gal} gal of fuel gone beyond its hours. Look for a leak."),
    Code.UNIT_LEFT: "{left}",
    Code.LOAD_AT_RISK: _("{unit}: its load is at risk. A decision is recorded; no disposition is signed."),
    Code.OTHER_LOAD_ABOARD: _("{unit}: load {load} is aboard too."),
    Code.AXLES_OVERWEIGHT: _("{unit}, axle {axles}: {lb} lb, limit {limit_lb} lb. Move freight, weigh again."),
    Code.GROSS_OVERWEIGHT: _("Gross weight {lb} lb, limit {limit_lb} lb. Take freight off, weigh again."),
    Code.BRIDGE_OVERWEIGHT: _("Axles {axles}: {lb} lb, bridge limit {limit_lb} lb. Move freight, weigh again."),
    Code.TIRES_OVERLOADED: _("{unit}, axle {axles}: {lb} lb on tires rated {limit_lb} lb. Move freight."),
    Code.OVERWEIGHT_PERMITTED: _(
        "Axle {axles}: {lb} lb, limit {limit_lb} lb, permitted by {permits}. Carry each permit."
    ),
    Code.NOT_WEIGHED: _("No scale ticket for this load and these units. Its axle weights are unknown."),
    Code.WEIGHTS_NOT_COMPARED: _("Scale weights not all compared: {why}."),
}

VARIANTS: dict[str, Template] = {
    f"{Code.CARRIER_HOLD}_because": _("{unit}: hold {hold} is active: {reason}."),
    f"{Code.CARRIER_HOLD}_photo_awaited": _(
        "{unit}: hold {hold} is active: {reason}. The photo of its repair has not arrived. Send it."
    ),
    f"{Code.OFFICERS_ORDER}_because": _(
        "{unit}: out of service by an officer, hold {hold}: {reason}. Do not move it until every repair is done."
    ),
    f"{Code.DEFECT_DEFERRED}_without_limit": _("{unit}: {what}. Defect {defect} is deferred."),
    f"{Code.LIMITED_MOVE}_on_conditions": _(
        "{unit}: one trip permitted: {to_place}, {distance_mi} miles, by {name}, until {ends_at}. "
        "Conditions: {conditions}"
    ),
    f"{Code.LIMITED_MOVE_PASSED}_driven": _(
        "{unit}: {driven_mi} miles driven, {distance_mi} permitted. Stop where it is safe, then call dispatch."
    ),
    f"{Code.LIMITED_MOVE_PASSED}_by_miles": _(
        "{unit}: {miles} miles asked, {distance_mi} permitted. Drive only the permitted trip."
    ),
    f"{Code.COLD_WORK_IN_PROGRESS}_paused": _(
        "{unit}: work on order {order} is paused. Undone: {undone}. Nobody signed it fit for cold freight."
    ),
    f"{Code.COLD_WORK_LOAD_UNKNOWN}_paused": _(
        "{unit}: work on order {order} is paused. Undone: {undone}. It would bar cold freight. Name the load."
    ),
    "expected": _("Expected to end {expected_at}."),
    f"{Code.FOOD_DEFECT}_put_right": _("{unit}: {what}. No food, cold or dry. {put_right}, then answer it again."),
    f"{Code.FUEL_TO_ADD}_with_reserve": _(
        "{unit}: add {add_gal} gallons, counted as always running. {reserve_gal} gallons stay in reserve."
    ),
    f"{Code.FUEL_TO_ADD}_beyond_tank": _("{unit}: {add_gal} gallons short. Fill the tank and refuel on the way."),
    f"{Code.PRE_COOL}_by": _("{unit}: box at {air_f} °F. Start pre-cooling to {target_f} °F by {start_at}."),
    f"{Code.PRE_COOL}_late": _("{unit}: box at {air_f} °F. Pre-cooling to {target_f} °F ends {cold_at}, too late."),
    f"{Code.NO_ANSWER_RECORDED}_more": _("{unit}: {count} points have no answer yet, first {points}."),
    f"{Code.AXLES_OVERWEIGHT}_forward": _(
        "{unit}, axle {axles}: {lb} lb, limit {limit_lb}. Slide the tandem {holes} holes forward, weigh again."
    ),
    f"{Code.AXLES_OVERWEIGHT}_rearward": _(
        "{unit}, axle {axles}: {lb} lb, limit {limit_lb}. Slide the tandem {holes} holes back, weigh again."
    ),
    f"{Code.BRIDGE_OVERWEIGHT}_forward": _(
        "Axles {axles}: {lb} lb, bridge limit {limit_lb}. Slide the tandem {holes} holes forward, weigh again."
    ),
    f"{Code.BRIDGE_OVERWEIGHT}_rearward": _(
        "Axles {axles}: {lb} lb, bridge limit {limit_lb}. Slide the tandem {holes} holes back, weigh again."
    ),
    f"{Code.TIRES_OVERLOADED}_forward": _(
        "{unit}, axle {axles}: {lb} lb on tires rated {limit_lb}. Slide the tandem {holes} holes forward."
    ),
    f"{Code.TIRES_OVERLOADED}_rearward": _(
        "{unit}, axle {axles}: {lb} lb on tires rated {limit_lb}. Slide the tandem {holes} holes back."
    ),
    f"{Code.AREA_NOT_REACHED}_flagged": _("{unit}: {area}: an answer cannot be used. Check again."),
}
"""The same reasons where more is known of them than their plain sentence says."""

ENDINGS: dict[Code, Template] = {
    Code.WALK_DUE: _("{unit}: walk-around due again."),
    Code.NO_ANSWER_RECORDED: _("{unit}: an earlier walk-around is too old to cover all points."),
    Code.DOCUMENT_ENDS_BEFORE_ARRIVAL: _(
        "{unit}, {document}: expires {last_day}. Leave later, and it expires before arrival plus margin."
    ),
    Code.DEFERRAL_ENDS_BEFORE_ARRIVAL: _("{unit}: {what}. The deferral of defect {defect} would be over."),
    Code.FUEL_TO_ADD: _("{unit}: its fuel would no longer last to arrival."),
}
"""What first ends a yes by time alone."""

ENDS: dict[EndsWhen, Template] = {
    EndsWhen.HOLD_LIFTED: _("when a foreman lifts the hold"),
    EndsWhen.HOLD_LIFTED_BY_SECOND_PERSON: _("when a foreman who had no part in the repair lifts the hold"),
    EndsWhen.ORDER_FULFILLED: _("when every repair on the officer's notice is done and the order is lifted"),
    EndsWhen.DEFECT_CERTIFIED: _("when the repair is certified, or certified unnecessary"),
    EndsWhen.DEFECT_REPAIRED: _("when it is repaired and certified"),
    EndsWhen.DEFECT_GRADED: _("when it is graded, and certified if called unsafe or its grade bars"),
    EndsWhen.ANSWERED_AGAIN: _("when the driver has corrected it and answered again"),
    EndsWhen.DOCUMENT_RECORDED: _("when the document is recorded"),
    EndsWhen.DOCUMENT_REPLACED: _("when the next document is recorded"),
    EndsWhen.SECOND_LOOK: _("when a second qualified person has looked"),
    EndsWhen.UNIT_COMPLETED: _("when it is recorded"),
    EndsWhen.COOLING_UNIT_ADDED: _("with a trailer that has a cooling unit"),
    EndsWhen.LIMIT_SHOWN: _("when the meter is read and the trip's miles are named"),
    EndsWhen.WORK_DONE: _("when the work is done, or signed paused as fit to move"),
    EndsWhen.COLD_WORK_DONE: _("when the work is done, or paused and signed fit for cold freight"),
    EndsWhen.WALK_DONE: _("when the walk-around is submitted"),
    EndsWhen.POINTS_ANSWERED: _("when a walk-around answers them"),
    EndsWhen.REVIEW_SIGNED: _("when the review is signed"),
    EndsWhen.FUEL_ADDED: _("when the fuel level is recorded"),
    EndsWhen.READING_RECORDED: _("when a reading shows the box at its temperature"),
    EndsWhen.UNITS_COUPLED: _("when the walk-around says they are coupled"),
    EndsWhen.UNITS_UNCOUPLED: _("when the uncoupling is recorded"),
    EndsWhen.LOAD_DELIVERED: _("when the load is recorded as delivered"),
    EndsWhen.DISPOSITION_SIGNED: _("when the disposition of the food is signed"),
    EndsWhen.SEAL_DECIDED: _("when dispatch has decided about the seal"),
    EndsWhen.SEAL_CHECKED: _("when the seal is recorded as compared"),
    EndsWhen.DECISION_RECORDED: _("when the decision is recorded"),
    EndsWhen.FACT_RECORDED: _("when it is recorded"),
    EndsWhen.WEIGHED_AGAIN: _("when a scale ticket shows every weight within its limits"),
    EndsWhen.PHOTO_RECEIVED: _("when the photo of the repair is uploaded"),
    EndsWhen.RECORD_MENDED: _("when the record is repaired, or the report is set aside"),
}

WHY: dict[str, Template] = {
    NotReached.SEALED: _("sealed"),
    NotReached.DARK: _("dark"),
    NotReached.NO_HELPER: _("no helper"),
    NotReached.WEATHER: _("weather"),
    NotReached.BLOCKED: _("blocked"),
    NotReached.OTHER: _("another reason"),
    "flagged": _("an answer that must be checked"),
    "no_answer": _("no answer recorded"),
    "never_walked": _("no pre-trip walk on record counts"),
    "another_driver": _("another driver walked it last"),
    "coupling_not_walked": _("its coupling to these units was not looked at"),
    WeightUnknown.AXLE_DISTANCES: _("axle distances not recorded"),
    WeightUnknown.TIRE_RATINGS: _("tire ratings not recorded"),
    WeightUnknown.TICKET_FLAGGED: _("the scale ticket is flagged; weigh again"),
    WeightUnknown.OTHER_TRACTOR: _("weighed with another tractor; weigh again"),
    WeightUnknown.WEIGHED_TOGETHER: _("axles far apart weighed as one; weigh each group"),
    "too_long_ago": _("the last walk was too long ago"),
}

AREAS: dict[PartGroup, Template] = {
    PartGroup.SERVICE_BRAKES: _("service brakes"),
    PartGroup.PARKING_BRAKE: _("parking brake"),
    PartGroup.STEERING_MECHANISM: _("steering"),
    PartGroup.LIGHTING_AND_REFLECTORS: _("lamps and reflectors"),
    PartGroup.TIRES: _("tires"),
    PartGroup.HORN: _("horn"),
    PartGroup.WINDSHIELD_WIPERS: _("wipers"),
    PartGroup.REAR_VISION_MIRRORS: _("mirrors"),
    PartGroup.COUPLING_DEVICES: _("coupling"),
    PartGroup.WHEELS_AND_RIMS: _("wheels and rims"),
    PartGroup.EMERGENCY_EQUIPMENT: _("emergency equipment"),
    PartGroup.GENERAL: _("other parts"),
    PartGroup.FOOD: _("what touches the food"),
    PartGroup.ENVIRONMENT: _("environment"),
    PartGroup.COMPANY: _("the carrier's own points"),
}

SUBJECTS: dict[str, Template] = {"carrier": _("The carrier"), "person": _("The driver")}
"""Whose document it is, where it is no unit's."""

ANSWERS: dict[str, Template] = {
    "barred": _("Barred. It may not roll as requested."),
    "clears": _("All of this is expected to end {clears_at}."),
    "no_time": _("Nobody knows yet when all of this ends."),
    "after_driver_steps": _("It may roll after these steps."),
    "nothing_known_against": _("Nothing known to the service bars it. The driver decides at the vehicle."),
}

TABLES: dict[str, Mapping[Any, Template]] = {
    "clearance": {**REASONS, **VARIANTS},
    "ending": ENDINGS,
    "ends": ENDS,
    "why": WHY,
    "area": AREAS,
    "document_of": SUBJECTS,
    "answer": ANSWERS,
}

MESSAGES: Messages = {
    f"{prefix}_{code}": template for prefix, table in TABLES.items() for code, template in table.items()
}

if _missing := set(Code) - set(REASONS):
    raise LookupError(f"no sentence for {', '.join(sorted(_missing))}")
