"""What every code of an answer to dispatch means, and where that is written."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from defects.rules.clearance.codes import Code


@dataclass(frozen=True, slots=True)
class Meaning:
    """One line on a code. `basis` of the source: `read`, `memory`, or `own`, a rule of the carrier without a law."""

    text: str
    source: str
    basis: str


CODES: Mapping[Code, Meaning] = MappingProxyType(
    {
        Code.CARRIER_HOLD: Meaning("the carrier holds the unit", "49 CFR 396.3(a)(1), 396.7(a)", "read"),
        Code.OFFICERS_ORDER: Meaning("an officer ordered the unit out of service", "49 CFR 396.9(c)(2)", "read"),
        Code.DEFECT_NOT_CERTIFIED: Meaning("a defect has no certificate", "49 CFR 396.11(a)(3), 396.13", "read"),
        Code.CARRIER_DEFECT: Meaning(
            "a defect that the carrier's own rules bar movement for has no certificate", "carrier's rule", "own"
        ),
        Code.DEFECT_NOT_GRADED: Meaning(
            "a fault told in free text has not been graded by the foreman", "49 CFR 396.7(a), 392.7(a)", "read"
        ),
        Code.DEFERRAL_OVER: Meaning(
            "the limit of a certificate that repair was unnecessary has passed", "49 CFR 396.11(a)(3)(ii)", "read"
        ),
        Code.DEFERRAL_ENDS_BEFORE_ARRIVAL: Meaning("it ends before arrival", "49 CFR 396.11(a)(3)(ii)", "read"),
        Code.BRAKE_SHARE: Meaning(
            "20 per cent or more of the combination's service brakes are defective",
            "inspection campaign results and violation text 396.3A1BOS; 49 CFR 393.48",
            "read",
        ),
        Code.STEERING_AXLE_BRAKE: Meaning(
            "a service brake of a steering axle is defective", "inspection campaign results; 49 CFR 393.48", "read"
        ),
        Code.REFUSAL_NOT_LOOKED_AT: Meaning(
            "a driver refused the unit and nobody qualified has looked since", "49 U.S.C. 31105, 49 CFR 390.6", "memory"
        ),
        Code.DOCUMENT_MISSING: Meaning(
            "a required document is not on record", "49 CFR 392.2, 396.17(c) and the document's own rule", "read"
        ),
        Code.DOCUMENT_NOT_BEGUN: Meaning(
            "a required document begins only after departure",
            "49 CFR 392.2, 396.17(c) and the document's own rule",
            "read",
        ),
        Code.DOCUMENT_EXPIRED: Meaning(
            "a required document has run out", "49 CFR 392.2, 396.17(c) and the document's own rule", "read"
        ),
        Code.DOCUMENT_ENDS_BEFORE_ARRIVAL: Meaning(
            "a required document runs out before arrival and the carrier's margin",
            "49 CFR 392.2, 396.17(c) and the document's own rule",
            "read",
        ),
        Code.OTHERS_INSPECTION_DATE_MISSING: Meaning(
            "no inspection date of a unit of others is recorded", "49 CFR 396.17(c), 396.21(b)", "read"
        ),
        Code.OTHERS_PLATE_MISSING: Meaning("no plate of a unit of others", "State law through 49 CFR 392.2", "memory"),
        Code.OTHERS_OWNER_MISSING: Meaning("no owner of a unit of others is recorded", "49 CFR 396.3(b)(1)", "read"),
        Code.COLD_DEFECT: Meaning(
            "a fault bars new freight that needs a temperature", "21 CFR 1.906, 1.908(a)(3)", "memory"
        ),
        Code.FOOD_DEFECT: Meaning(
            "a fault keeps food out of the box, whether it needs a temperature or not",
            "21 CFR 1.906, 1.908(a)(3)",
            "memory",
        ),
        Code.TO_PUT_RIGHT: Meaning(
            "the cooling unit is not set or the box not cooled as ordered, which the driver puts right",
            "21 CFR 1.908; carrier's rule",
            "own",
        ),
        Code.COOLING_UNIT_MISSING: Meaning(
            "freight that needs a temperature, and no cooling unit among the units", "21 CFR 1.906", "memory"
        ),
        Code.WALK_DUE: Meaning("the driver has not walked the unit lately", "49 CFR 392.7(a), 396.13(a)", "read"),
        Code.NO_ANSWER_RECORDED: Meaning(
            "what the walk asks every time has no answer: not covered, not answered, or not reached",
            "49 CFR 392.7(a), 396.13(a)",
            "read",
        ),
        Code.REVIEW_NOT_SIGNED: Meaning(
            "a report or a certificate has not been reviewed and signed by the next driver",
            "49 CFR 396.13(b), (c)",
            "read",
        ),
        Code.FUEL_TO_ADD: Meaning("the cooling unit's fuel does not last to arrival", "carrier's rule", "own"),
        Code.PRE_COOL: Meaning("the box is warmer than the load asks", "21 CFR 1.908(c), (e)", "memory"),
        Code.LOAD_OUTSIDE_RANGE: Meaning(
            "the air left its range for longer than the carrier allows", "21 CFR 1.908(a)(3)", "memory"
        ),
        Code.PRODUCT_TOO_WARM: Meaning(
            "the product was loaded warmer than ordered",
            "21 CFR 1.908; common practice: load no warm product",
            "memory",
        ),
        Code.PRODUCT_TOO_COLD: Meaning(
            "the product was loaded colder than ordered", "21 CFR 1.908; common practice", "memory"
        ),
        Code.UNITS_TO_COUPLE: Meaning("the units are not recorded as coupled", "49 CFR 393.70, 396.13", "read"),
        Code.SEAL_DIFFERS: Meaning(
            "the seal on the doors is not the one on the papers, and dispatch has not decided",
            "49 CFR 392.9(b)(4); carrier's rule",
            "own",
        ),
        Code.SEAL_TO_CHECK: Meaning("the seal has not been compared", "49 CFR 392.9(b)(4); carrier's rule", "own"),
        Code.UNITS_TO_UNCOUPLE: Meaning(
            "a unit is recorded as coupled to one that is not asked for", "49 CFR 393.70, 396.13", "read"
        ),
        Code.FOOD_NOT_DISPOSED: Meaning(
            "food that may have spoiled was in the trailer, and nobody qualified has said what becomes of it",
            "21 CFR 1.908(a)(3)",
            "memory",
        ),
        Code.LOAD_AT_RISK_UNDECIDED: Meaning(
            "nobody has decided what becomes of a loaded trailer's load at risk", "21 CFR 1.908", "memory"
        ),
        Code.AREA_NOT_REACHED: Meaning("a part was not looked at on the walk", "49 CFR 392.7(a)", "read"),
        Code.RESTS_ON_PRE_LOAD_CHECK: Meaning(
            "a sealed part was not reached and was checked before loading", "49 CFR 392.9(b)(4)", "read"
        ),
        Code.DEFERRAL_LIMIT_UNKNOWN: Meaning(
            "a certificate's limit in miles or hours cannot be compared", "49 CFR 396.11(a)(3)(ii)", "read"
        ),
        Code.AXLES_NOT_RECORDED: Meaning(
            "axles are not recorded: which brakes and tires the walk left is not known", "49 CFR 392.7(a)", "read"
        ),
        Code.BRAKE_COUNT_UNKNOWN: Meaning(
            "a brake is defective and the number of service brakes is not recorded", "49 CFR 393.48", "read"
        ),
        Code.COLD_DEFECT_LOAD_UNKNOWN: Meaning(
            "a fault would bar freight that needs a temperature, and the load is not named", "21 CFR 1.906", "memory"
        ),
        Code.FOOD_DEFECT_LOAD_UNKNOWN: Meaning(
            "a fault would keep food out of the box, and the load is not named", "21 CFR 1.906, 1.908(a)(3)", "memory"
        ),
        Code.PHOTO_AWAITED: Meaning(
            "a repair on the spot rests on a photo that has not arrived", "49 CFR 396.11(a)(3); carrier's rule", "own"
        ),
        Code.RECORD_UNREADABLE: Meaning("a record of the unit cannot be read", "carrier's rule", "own"),
        Code.FUEL_UNKNOWN: Meaning("the cooling unit's fuel or burn rate is not known", "carrier's rule", "own"),
        Code.ORDERED_TEMPERATURE_UNKNOWN: Meaning(
            "the load needs a temperature and none is ordered", "21 CFR 1.908(b)", "memory"
        ),
        Code.WORK_IN_PROGRESS: Meaning(
            "work on the unit was begun and is not done", "49 CFR 396.3(a)(1), 396.7(a)", "read"
        ),
        Code.COLD_WORK_IN_PROGRESS: Meaning(
            "work on the cooling unit was begun and is not done", "21 CFR 1.906", "memory"
        ),
        Code.COLD_WORK_LOAD_UNKNOWN: Meaning(
            "work on the cooling unit would bar freight that needs a temperature, and the load is not named",
            "21 CFR 1.906",
            "memory",
        ),
        Code.WORK_PAUSED: Meaning(
            "work was signed paused, the unit fit to move with something undone", "49 CFR 396.3(a)(1)", "read"
        ),
        Code.OTHER_LOAD_IN_THE_WAY: Meaning(
            "another load is in the trailer that the one asked for needs", "carrier's rule", "own"
        ),
        Code.DRIVER_NOT_ON_RECORD: Meaning(
            "the person who is to drive holds no driver's role", "49 CFR 391.11(a)", "memory"
        ),
        Code.DEFECT_OPEN: Meaning("a fault stands that does not bar as asked", "49 CFR 396.3(a)", "read"),
        Code.DEFECT_DEFERRED: Meaning(
            "a fault stands whose repair a certificate calls unnecessary for now", "49 CFR 396.11(a)(3)(ii)", "read"
        ),
        Code.LIMITED_MOVE: Meaning("one trip to the nearest place of repair is permitted", "49 CFR 396.7(b)", "read"),
        Code.LIMITED_MOVE_PASSED: Meaning(
            "the time or miles of a permitted trip are passed", "49 CFR 396.7(b)", "read"
        ),
        Code.LIMITED_MOVE_UNMETERED: Meaning(
            "nobody read the odometer where a permitted trip begins or since", "49 CFR 396.7(b)", "read"
        ),
        Code.FULL_WALK_DUE: Meaning("what is asked weekly was not all looked at for a week", "carrier's rule", "own"),
        Code.UNIT_LEFT: Meaning("where and how a driver left the unit", "carrier's rule", "own"),
        Code.FUEL_LOST: Meaning(
            "more fuel is gone from a tank than its engine hours explain, which says nothing of how",
            "carrier's rule",
            "own",
        ),
        Code.LOAD_AT_RISK: Meaning(
            "a load at risk rides by a recorded decision, its food's disposition not signed",
            "21 CFR 1.908(a)(3)",
            "memory",
        ),
        Code.OTHER_LOAD_ABOARD: Meaning("a load that was not asked about is aboard", "carrier's rule", "own"),
        Code.AXLES_OVERWEIGHT: Meaning("an axle or tandem is over the limit", "23 CFR 658.17(c), (d)", "read"),
        Code.GROSS_OVERWEIGHT: Meaning("the whole weighs more than the Interstate allows", "23 CFR 658.17(b)", "read"),
        Code.BRIDGE_OVERWEIGHT: Meaning(
            "axles together weigh more than the bridge formula allows", "23 CFR 658.17(e)", "read"
        ),
        Code.TIRES_OVERLOADED: Meaning("tires carry more than is marked on them", "49 CFR 393.75(g)", "read"),
        Code.OVERWEIGHT_PERMITTED: Meaning(
            "a weight over the limit that permits of all States crossed allow", "23 U.S.C. 127(a)", "memory"
        ),
        Code.NOT_WEIGHED: Meaning(
            "no scale ticket shows this load with these units", "23 CFR 658.17; carrier's rule", "own"
        ),
        Code.WEIGHTS_NOT_COMPARED: Meaning(
            "a weight cannot be compared with its limit", "23 CFR 658.17; 49 CFR 393.75(g)", "read"
        ),
    }
)
"""By code: what it means and where that is written."""
