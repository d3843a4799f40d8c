"""What may be done with defects, holds, refusals, moves, loads and officers' reports, from which state, by whom.

`SYSTEM` rows follow from something else: the shop's work, a passed limit, a review, a worse finding.
"""

from common.transitions import SYSTEM, Transition, TransitionTable, staying
from defects.enums import OPEN_DEFECT_STATES, DefectState, LoadState, MoveState, RefusalState, RiskState, RoadsideState
from fleet.enums import HoldState, Role

FOREMAN = frozenset({Role.FOREMAN})
SHOP = frozenset({Role.FOREMAN, Role.MECHANIC})
SHOP_OR_AGENT = SHOP | {Role.DRIVER}
"""A driver may sign the certification as the carrier's agent (FMCSA guidance on 396.13, question 1)."""
BY_ITSELF = frozenset({SYSTEM})

DEFECTS = TransitionTable(
    "defect",
    [
        Transition(
            "certify_repaired",
            frozenset(OPEN_DEFECT_STATES),
            DefectState.CERTIFIED,
            SHOP_OR_AGENT,
            ("statement", "signature"),
        ),
        # A driver's correction in a signed walk-around, which is kept whatever roles the driver has by then.
        Transition("certify_on_the_spot", frozenset(OPEN_DEFECT_STATES), DefectState.CERTIFIED, BY_ITSELF),
        Transition(
            "certify_unnecessary",
            frozenset({DefectState.REPORTED, DefectState.IN_REPAIR}),
            DefectState.DEFERRED,
            SHOP,
            ("statement", "signature"),
        ),
        *staying("supersede", (DefectState.DEFERRED, DefectState.CERTIFIED), SHOP, ("statement", "signature")),
        *staying("grade", (DefectState.REPORTED, DefectState.IN_REPAIR), FOREMAN, ("severity", "bars", "authority")),
        *staying("regrade", OPEN_DEFECT_STATES, FOREMAN, ("severity", "bars", "reason")),
        Transition(
            "enter_in_error",
            frozenset(OPEN_DEFECT_STATES),
            DefectState.ENTERED_IN_ERROR,
            FOREMAN,
            ("reason", "signature"),
        ),
        Transition("reopen", frozenset({DefectState.CERTIFIED}), DefectState.REPORTED, SHOP, ("reason",)),
        # A closed defect stays closed: what comes back is a new one, linked to it.
        *staying("reopen", (DefectState.CLOSED,), SHOP, ("reason",)),
        Transition(
            "start_repair", frozenset({DefectState.REPORTED, DefectState.DEFERRED}), DefectState.IN_REPAIR, BY_ITSELF
        ),
        Transition("put_back", frozenset({DefectState.IN_REPAIR}), DefectState.REPORTED, BY_ITSELF),
        Transition("put_back_deferred", frozenset({DefectState.IN_REPAIR}), DefectState.DEFERRED, BY_ITSELF),
        # The certificate of "repair unnecessary" no longer covers it: its limit passed, or it was found worse.
        Transition("end_deferral", frozenset({DefectState.DEFERRED}), DefectState.REPORTED, BY_ITSELF),
        *staying("end_deferral", (DefectState.IN_REPAIR,), BY_ITSELF),
        Transition("close_on_certificate", frozenset({DefectState.CERTIFIED}), DefectState.CLOSED, BY_ITSELF),
        Transition("close_by_review", frozenset({DefectState.CERTIFIED}), DefectState.CLOSED, BY_ITSELF),
    ],
    states=DefectState,
    initial=DefectState.REPORTED,
)

HOLDS = TransitionTable(
    "hold",
    [Transition("lift", frozenset({HoldState.ACTIVE}), HoldState.LIFTED, FOREMAN, ("signature",))],
    states=HoldState,
    initial=HoldState.ACTIVE,
)
REFUSALS = TransitionTable(
    "refusal",
    [Transition("second_look", frozenset({RefusalState.WAITING}), RefusalState.LOOKED_AT, SHOP, ("found",))],
    states=RefusalState,
    initial=RefusalState.WAITING,
)
LIMITED_MOVES = TransitionTable(
    "limited move",
    [Transition("end", frozenset({MoveState.ALLOWED}), MoveState.ENDED, FOREMAN | {Role.DRIVER}, ("ended_at",))],
    states=MoveState,
    initial=MoveState.ALLOWED,
)
REVIEW = frozenset({Role.DRIVER})
REFUSE = frozenset({Role.DRIVER})
ALLOW_LIMITED_MOVE = FOREMAN
MOVE_IN_YARD = SHOP | {Role.DRIVER}
PLACE_HOLD = frozenset({Role.FOREMAN, Role.COMPLIANCE})
"""Who may place a hold that no finding places."""
SET_ASIDE = frozenset({Role.FOREMAN, Role.COMPLIANCE})
"""Who may have answers given without a report that cannot be read."""
REPEAT_TEST = SHOP | {Role.DRIVER, Role.TRAINER}
ASSIGN_UNIT = frozenset({Role.FOREMAN, Role.DISPATCH})
"""Who may say which unit a kept report is on; both are told of a fault on a unit that nobody knows."""
CONFIRM_FIRM = frozenset({Role.FOREMAN, Role.COMPLIANCE, Role.DISPATCH})
"""Who may confirm an outside firm: whoever is there to ring it up, at night dispatch."""

MOUNT_TIRE = SHOP
"""Who says which casing stands where."""

DISPATCH = frozenset({Role.DISPATCH})
AT_THE_DOCK = DISPATCH | FOREMAN | {Role.DRIVER}
WITH_THE_LOAD = AT_THE_DOCK | {Role.MECHANIC, Role.COMPLIANCE, Role.TRAINER}
DECIDE_OVER_LOAD = DISPATCH | FOREMAN | {Role.COMPLIANCE}
RECORD_ROADSIDE = DISPATCH | FOREMAN | {Role.DRIVER, Role.COMPLIANCE}

LOADS = TransitionTable(
    "load",
    [
        *staying("edit", (LoadState.PLANNED, LoadState.LOADED), DISPATCH),
        *staying("check_before_loading", (LoadState.PLANNED,), AT_THE_DOCK, ("trailer",)),
        Transition("put_into_trailer", frozenset({LoadState.PLANNED}), LoadState.LOADED, AT_THE_DOCK, ("trailer",)),
        *staying("transload", (LoadState.LOADED,), AT_THE_DOCK, ("trailer",)),
        *staying("compare_seal", (LoadState.LOADED,), AT_THE_DOCK, ("seal",)),
        *staying("weigh", (LoadState.LOADED,), AT_THE_DOCK, ("tractor",)),
        *staying("decide_seal", (LoadState.LOADED,), DISPATCH, ("decision",)),
        Transition("deliver", frozenset({LoadState.LOADED}), LoadState.DELIVERED, AT_THE_DOCK),
        Transition("cancel", frozenset({LoadState.PLANNED}), LoadState.CANCELLED, DISPATCH, ("reason",)),
    ],
    states=LoadState,
    initial=LoadState.PLANNED,
)
LOADS_AT_RISK = TransitionTable(
    "load at risk",
    [
        *staying("add_reading", (RiskState.OPEN,), WITH_THE_LOAD),
        *staying("add_call", (RiskState.OPEN,), WITH_THE_LOAD, ("text",)),
        *staying("add_decision", (RiskState.OPEN,), DECIDE_OVER_LOAD, ("text",)),
        Transition(
            "dispose", frozenset({RiskState.OPEN}), RiskState.CLOSED, DECIDE_OVER_LOAD, ("disposition", "signature")
        ),
    ],
    states=RiskState,
    initial=RiskState.OPEN,
)
# A clean inspection needs no answer and has no moves.
ROADSIDE_INSPECTIONS = TransitionTable(
    "roadside inspection",
    [
        Transition(
            "answer",
            frozenset({RoadsideState.ANSWER_DUE}),
            RoadsideState.ANSWERED,
            frozenset({Role.COMPLIANCE}),
            ("official_title", "signature"),
        )
    ],
    states=(RoadsideState.ANSWER_DUE, RoadsideState.ANSWERED),
    initial=RoadsideState.ANSWER_DUE,
)

TABLES = (DEFECTS, HOLDS, REFUSALS, LIMITED_MOVES, LOADS, LOADS_AT_RISK, ROADSIDE_INSPECTIONS)
