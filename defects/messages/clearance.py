"""The sentences of answers to dispatch: each reason, each unknown, and what ends it.

Written for a driver with cold hands: short, what stands against it, nothing about safety.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects.enums import NotReached
from defects.rules.clearance import CODES, Code, EndsWhen
from defects.rules.vocabulary import PartGroup

REASONS: dict[Code, Template] = {
    Code.CARRIER_HOLD: _("{unit}: hold {hold} stands."),
    Code.OFFICERS_ORDER: _(
        "{unit}: an officer's order stands, hold {hold}. Nobody may move it until every repair is done."
    ),
    Code.DEFECT_NOT_CERTIFIED: _(
        "{unit}: {what}. Defect {defect} needs its certificate before {unit} is driven again."
    ),
    Code.CARRIER_DEFECT: _("{unit}: {what}. Defect {defect} bars it by the carrier's own rule."),
    Code.DEFECT_NOT_GRADED: _("{unit}: {what}. The foreman has not graded defect {defect} yet."),
    Code.DEFERRAL_OVER: _("{unit}: {what}. The repair of defect {defect} may not be put off any longer."),
    Code.DEFERRAL_ENDS_BEFORE_ARRIVAL: _(
        "{unit}: {what}. The time to put off the repair of defect {defect} ends on the way."
    ),
    Code.BRAKE_SHARE: _(
        "{defective} of the {brakes} service brakes of these units together are defective: one in five or more."
    ),
    Code.STEERING_AXLE_BRAKE: _("A service brake on a steering axle is defective: {places}."),
    Code.REFUSAL_NOT_LOOKED_AT: _("{unit}: a driver refused it and no second qualified person has looked."),
    Code.DOCUMENT_MISSING: _("{unit}, {document}: none is on record."),
    Code.DOCUMENT_NOT_BEGUN: _("{unit}, {document}: it begins only after departure."),
    Code.DOCUMENT_EXPIRED: _("{unit}, {document}: it has run out."),
    Code.DOCUMENT_ENDS_BEFORE_ARRIVAL: _(
        "{unit}, {document}: last day {last_day}, before arrival and the carrier's margin."
    ),
    Code.OTHERS_INSPECTION_DATE_MISSING: _("{unit} is not ours: its inspection date is not recorded."),
    Code.OTHERS_PLATE_MISSING: _("{unit} is not ours: its plate is not recorded."),
    Code.OTHERS_OWNER_MISSING: _("{unit} is not ours: its owner is not recorded."),
    Code.COLD_DEFECT: _(
        "{unit}: {what}. Defect {defect} bars new freight that needs a temperature; it does not bar dry freight."
    ),
    Code.FOOD_DEFECT: _("{unit}: {what}. Defect {defect} bars new food, cold or dry."),
    Code.TO_PUT_RIGHT: _("{unit}: {what}. {put_right}, then answer it again."),
    Code.COOLING_UNIT_MISSING: _("The load needs a temperature and no cooling unit is among the units."),
    Code.WORK_IN_PROGRESS: _("{unit} is in the shop, order {order}: {work}."),
    Code.COLD_WORK_IN_PROGRESS: _(
        "{unit} is in the shop, order {order}: {work}. No new cold freight until it is done."
    ),
    Code.WALK_DUE: _("{unit}: walk round it: {why}."),
    Code.NO_ANSWER_RECORDED: _("{unit}: no answer yet: {points}."),
    Code.REVIEW_NOT_SIGNED: _("{unit}: read the last defect report and its certificates, and sign."),
    Code.FUEL_TO_ADD: _("{unit}: add {add_gal} gallons of fuel."),
    Code.UNITS_TO_COUPLE: _("Couple the units: {units}."),
    Code.UNITS_TO_UNCOUPLE: _("Uncouple from {units} first."),
    Code.FOOD_NOT_DISPOSED: _(
        "{unit}: food at risk was in it and nobody has signed what becomes of it. No new cold freight until then."
    ),
    Code.SEAL_DIFFERS: _("{seal_read} was read, not the seal on the papers. Do not open it; call dispatch."),
    Code.SEAL_TO_CHECK: _("Compare the seal with the papers."),
    Code.LOAD_AT_RISK_UNDECIDED: _("{unit}: its load is at risk and nobody has decided what becomes of it."),
    Code.AREA_NOT_REACHED: _("{unit}: {area} not looked at: {why}."),
    Code.RESTS_ON_PRE_LOAD_CHECK: _("{unit}: {area} not looked at, sealed; it rests on the check before loading."),
    Code.DEFERRAL_LIMIT_UNKNOWN: _(
        "{unit}: {what}. Miles or hours decide how long the repair of defect {defect} may wait, and are not known."
    ),
    Code.BRAKE_COUNT_UNKNOWN: _("{defective} service brakes are defective and it is not recorded how many there are."),
    Code.COLD_DEFECT_LOAD_UNKNOWN: _(
        "{unit}: {what}. Defect {defect} would bar freight that needs a temperature; the load is not named."
    ),
    Code.FOOD_DEFECT_LOAD_UNKNOWN: _(
        "{unit}: {what}. Defect {defect} would bar food, cold or dry; the load is not named."
    ),
    Code.RECORD_UNREADABLE: _("{unit}: a record of it cannot be read. Tell an administrator."),
    Code.FUEL_UNKNOWN: _("{unit}: its fuel level or burn rate is not known."),
    Code.ORDERED_TEMPERATURE_UNKNOWN: _("The load needs a temperature and none is ordered in writing."),
    Code.OTHER_LOAD_IN_THE_WAY: _("{unit}: load {load} is in it. Unload that first."),
    Code.COLD_WORK_LOAD_UNKNOWN: _(
        "{unit} is in the shop, order {order}: {work}. It would bar cold freight; the load is not named."
    ),
    Code.WORK_PAUSED: _("{unit}: work on order {order} is paused, signed fit to move. Undone: {undone}"),
    Code.DRIVER_NOT_ON_RECORD: _("Whoever is to drive holds no driver's role today."),
    Code.DEFECT_OPEN: _("{unit}: {what}. Defect {defect} is open and does not bar this."),
    Code.DEFECT_DEFERRED: _("{unit}: {what}. The repair of defect {defect} may wait until {limits}."),
    Code.LIMITED_MOVE: _(
        "{unit}: one trip to {to_place}, {distance_mi} miles, by {name} is permitted until {ends_at}."
    ),
    Code.LOAD_AT_RISK: _("{unit}: its load is at risk; a decision is recorded, no disposition signed."),
    Code.OTHER_LOAD_ABOARD: _("{unit}: load {load} is in it too."),
}

VARIANTS: dict[str, Template] = {
    f"{Code.CARRIER_HOLD}_because": _("{unit}: hold {hold} stands: {reason}."),
    f"{Code.OFFICERS_ORDER}_because": _(
        "{unit}: an officer's order stands, hold {hold}: {reason}. Nobody may move it until every repair is done."
    ),
    f"{Code.DEFECT_DEFERRED}_without_limit": _("{unit}: {what}. The repair of defect {defect} was put off."),
    f"{Code.LIMITED_MOVE}_on_conditions": _(
        "{unit}: one trip to {to_place}, {distance_mi} miles, by {name} is permitted until {ends_at}: {conditions}"
    ),
    f"{Code.COLD_WORK_IN_PROGRESS}_paused": _(
        "{unit}: work on order {order} is paused. Undone: {undone}. Nobody signed it fit for cold freight."
    ),
    f"{Code.COLD_WORK_LOAD_UNKNOWN}_paused": _(
        "{unit}: work on order {order} is paused. Undone: {undone}. It would bar cold freight; the load is not named."
    ),
    "expected": _("Expected to end at {expected_at}."),
    f"{Code.FOOD_DEFECT}_put_right": _("{unit}: {what}. No food, cold or dry. {put_right}, then answer it again."),
    f"{Code.FUEL_TO_ADD}_with_reserve": _(
        "{unit}: add {add_gal} gallons of fuel. The carrier keeps {reserve_gal} gallons in reserve."
    ),
    f"{Code.FUEL_TO_ADD}_beyond_tank": _(
        "{unit}: fill its tank, and plan to fill it again on the way: {add_gal} gallons are wanting."
    ),
    f"{Code.NO_ANSWER_RECORDED}_more": _("{unit}: {count} points have no answer yet, first {points}."),
    f"{Code.AREA_NOT_REACHED}_queried": _("{unit}: {area}: an answer of the walk-around cannot be used. Look again."),
}
"""The same reasons where more is known of them than their plain sentence says."""

ENDINGS: dict[Code, Template] = {
    Code.WALK_DUE: _("{unit}: the walk-around is due again."),
    Code.NO_ANSWER_RECORDED: _("{unit}: an earlier walk-around is too long ago to answer for all points."),
    Code.DOCUMENT_ENDS_BEFORE_ARRIVAL: _(
        "{unit}, {document}: last day {last_day}. Leave later, and it ends before arrival and the carrier's margin."
    ),
    Code.DEFERRAL_ENDS_BEFORE_ARRIVAL: _("{unit}: {what}. The repair of defect {defect} could be put off no longer."),
    Code.FUEL_TO_ADD: _("{unit}: its fuel would no longer last to arrival."),
}
"""What first ends a yes by time alone."""

ENDS: dict[EndsWhen, Template] = {
    EndsWhen.HOLD_LIFTED: _("when a foreman lifts the hold"),
    EndsWhen.HOLD_LIFTED_BY_SECOND_PERSON: _("when a foreman who had no part in the repair lifts the hold"),
    EndsWhen.ORDER_FULFILLED: _("when every repair on the officer's notice is done and the order is lifted"),
    EndsWhen.DEFECT_CERTIFIED: _("when the repair is certified, or certified unnecessary"),
    EndsWhen.DEFECT_REPAIRED: _("when it is repaired and certified"),
    EndsWhen.DEFECT_GRADED: _("when the foreman has graded it, unless its grade bars too"),
    EndsWhen.ANSWERED_AGAIN: _("when the driver has put it right and answered it again"),
    EndsWhen.DOCUMENT_RECORDED: _("when the paper is recorded"),
    EndsWhen.DOCUMENT_REPLACED: _("when the next paper is recorded"),
    EndsWhen.SECOND_LOOK: _("when a second qualified person has looked"),
    EndsWhen.UNIT_COMPLETED: _("when it is recorded"),
    EndsWhen.COOLING_UNIT_ADDED: _("with a trailer that has a cooling unit"),
    EndsWhen.LIMIT_SHOWN: _("when the meter is read and the trip's miles are named"),
    EndsWhen.WORK_DONE: _("when the work is done, or signed paused as fit to move"),
    EndsWhen.COLD_WORK_DONE: _("when the work is done, or paused and signed fit for cold freight"),
    EndsWhen.WALK_DONE: _("when the walk-around is handed in"),
    EndsWhen.POINTS_ANSWERED: _("when a walk-around answers them"),
    EndsWhen.REVIEW_SIGNED: _("when the review is signed"),
    EndsWhen.FUEL_ADDED: _("when the fuel level is handed in"),
    EndsWhen.UNITS_COUPLED: _("when the walk-around says they are coupled"),
    EndsWhen.UNITS_UNCOUPLED: _("when the uncoupling is recorded"),
    EndsWhen.LOAD_DELIVERED: _("when the load is recorded as delivered"),
    EndsWhen.DISPOSITION_SIGNED: _("when it is signed what becomes of the food"),
    EndsWhen.SEAL_DECIDED: _("when dispatch has decided over the seal"),
    EndsWhen.SEAL_CHECKED: _("when the seal is recorded as compared"),
    EndsWhen.DECISION_RECORDED: _("when the decision is recorded"),
    EndsWhen.FACT_RECORDED: _("when it is recorded"),
    EndsWhen.RECORD_MENDED: _("when the record is mended, or the report is set aside"),
}

WHY: dict[str, Template] = {
    NotReached.SEALED: _("sealed"),
    NotReached.DARK: _("dark"),
    NotReached.NO_HELPER: _("no helper"),
    NotReached.WEATHER: _("weather"),
    NotReached.BLOCKED: _("blocked"),
    NotReached.OTHER: _("another reason"),
    "queried": _("an answer that must be looked at"),
    "no_answer": _("no answer recorded"),
    "never_walked": _("no pre-trip walk is on record"),
    "another_driver": _("another driver walked it last"),
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

SUBJECTS: dict[str, Template] = {
    "carrier": _("The carrier"),
    "person": _("The driver"),
}
"""Whose paper it is, where it is no unit's."""

ANSWERS: dict[str, Template] = {
    "barred": _("Barred. It may not roll as asked."),
    "clears": _("All of this is expected to end at {clears_at}."),
    "no_time": _("It is not known when all of this will end."),
    "after_driver_steps": _("It may roll after these steps."),
    "nothing_known_against": _("Nothing known to the service bars it. The driver decides at the vehicle."),
}

TABLES: dict[str, Mapping[Any, Template]] = {
    "clearance": {**REASONS, **VARIANTS},
    "ending": ENDINGS,
    "ends": ENDS,
    "why": WHY,
    "area": AREAS,
    "paper_of": SUBJECTS,
    "answer": ANSWERS,
}

MESSAGES: Messages = {
    f"{prefix}_{code}": template for prefix, table in TABLES.items() for code, template in table.items()
}

if _missing := set(CODES) - set(REASONS):
    raise LookupError(f"no sentence for {', '.join(sorted(_missing))}")
