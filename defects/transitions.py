"""What may be done with defects, holds, refusals, moves, loads and officers' reports, from which state, by whom.

`SYSTEM` rows follow from something else: the shop's work, a passed limit, a review, a worse finding.
"""

from collections.abc import Collection

from common.transitions import SYSTEM, Transition, TransitionTable

REPORTED, IN_REPAIR, DEFERRED = "reported", "in_repair", "deferred"
CERTIFIED, CLOSED, ENTERED_IN_ERROR = "certified", "closed", "entered_in_error"
STANDING, LIFTED = "standing", "lifted"
WAITING, LOOKED_AT = "waiting", "looked_at"
ALLOWED, ENDED = "allowed", "ended"
PLANNED, LOADED, DELIVERED, CANCELLED = "planned", "loaded", "delivered", "cancelled"
RISK_OPEN, RISK_CLOSED = "open", "closed"
CLEAN, ANSWER_OWED, ANSWERED = "clean", "answer_owed", "answered"

FOREMAN = frozenset({"foreman"})
SHOP = frozenset({"foreman", "mechanic"})
SHOP_OR_AGENT = SHOP | {"driver"}
"""A driver may sign the certification as the carrier's agent (FMCSA guidance on 396.13, question 1)."""
BY_ITSELF = frozenset({SYSTEM})

OPEN = (REPORTED, IN_REPAIR, DEFERRED)


def _staying(
    action: str, states: Collection[str], roles: frozenset[str], required: tuple[str, ...] = ()
) -> list[Transition]:
    """An action that leaves the state as it is."""
    return [Transition(action, frozenset({state}), state, roles, required) for state in states]


DEFECTS = TransitionTable(
    "defect",
    [
        Transition("certify_repaired", frozenset(OPEN), CERTIFIED, SHOP_OR_AGENT, ("statement", "signature")),
        Transition("certify_unnecessary", frozenset({REPORTED, IN_REPAIR}), DEFERRED, SHOP, ("statement", "signature")),
        *_staying("supersede", (DEFERRED, CERTIFIED), SHOP, ("statement", "signature")),
        *_staying("grade", (REPORTED, IN_REPAIR), FOREMAN, ("severity", "bars", "standing")),
        *_staying("regrade", OPEN, FOREMAN, ("severity", "bars", "reason")),
        Transition("enter_in_error", frozenset(OPEN), ENTERED_IN_ERROR, FOREMAN, ("reason", "signature")),
        Transition("reopen", frozenset({CERTIFIED}), REPORTED, SHOP, ("reason",)),
        # A closed defect stays closed: what comes back is a new one, linked to it.
        *_staying("reopen", (CLOSED,), SHOP, ("reason",)),
        Transition("start_repair", frozenset({REPORTED, DEFERRED}), IN_REPAIR, BY_ITSELF),
        Transition("put_back", frozenset({IN_REPAIR}), REPORTED, BY_ITSELF),
        Transition("put_back_deferred", frozenset({IN_REPAIR}), DEFERRED, BY_ITSELF),
        # The certificate of "repair unnecessary" no longer covers it: its limit passed, or it was found worse.
        Transition("end_deferral", frozenset({DEFERRED}), REPORTED, BY_ITSELF),
        *_staying("end_deferral", (IN_REPAIR,), BY_ITSELF),
        Transition("close_on_certificate", frozenset({CERTIFIED}), CLOSED, BY_ITSELF),
        Transition("close_by_review", frozenset({CERTIFIED}), CLOSED, BY_ITSELF),
    ],
    states=(*OPEN, CERTIFIED, CLOSED, ENTERED_IN_ERROR),
    initial=REPORTED,
)

HOLDS = TransitionTable(
    "hold",
    [Transition("lift", frozenset({STANDING}), LIFTED, FOREMAN, ("signature",))],
    states=(STANDING, LIFTED),
    initial=STANDING,
)
REFUSALS = TransitionTable(
    "refusal",
    [Transition("second_look", frozenset({WAITING}), LOOKED_AT, SHOP, ("finding",))],
    states=(WAITING, LOOKED_AT),
    initial=WAITING,
)
LIMITED_MOVES = TransitionTable(
    "limited move",
    [Transition("end", frozenset({ALLOWED}), ENDED, FOREMAN | {"driver"}, ("ended_at",))],
    states=(ALLOWED, ENDED),
    initial=ALLOWED,
)
REVIEW = frozenset({"driver"})
REFUSE = frozenset({"driver"})
ALLOW_LIMITED_MOVE = FOREMAN
MOVE_IN_YARD = SHOP | {"driver"}
PLACE_HOLD = frozenset({"foreman", "compliance"})
"""Who may place a hold that no finding places."""
SET_ASIDE = frozenset({"foreman", "compliance"})
"""Who may have answers given without a report that cannot be read."""
REPEAT_TEST = SHOP | {"driver", "trainer"}
ASSIGN_UNIT = frozenset({"foreman", "dispatch"})
"""Who may say which unit a kept report is on; both are told of a fault on a unit that nobody knows."""
CONFIRM_FIRM = frozenset({"foreman", "compliance", "dispatch"})
"""Who may confirm an outside firm: whoever is there to ring it up, at night dispatch."""

DISPATCH = frozenset({"dispatch"})
AT_THE_DOCK = DISPATCH | FOREMAN | {"driver"}
WITH_THE_LOAD = AT_THE_DOCK | {"mechanic", "compliance", "trainer"}
DECIDE_OVER_LOAD = DISPATCH | FOREMAN | {"compliance"}
RECORD_ROADSIDE = DISPATCH | FOREMAN | {"driver", "compliance"}

LOADS = TransitionTable(
    "load",
    [
        *_staying("edit", (PLANNED, LOADED), DISPATCH),
        *_staying("check_before_loading", (PLANNED,), AT_THE_DOCK, ("trailer",)),
        Transition("put_into_trailer", frozenset({PLANNED}), LOADED, AT_THE_DOCK, ("trailer",)),
        *_staying("transload", (LOADED,), AT_THE_DOCK, ("trailer",)),
        *_staying("compare_seal", (LOADED,), AT_THE_DOCK, ("seal",)),
        *_staying("decide_seal", (LOADED,), DISPATCH, ("decision",)),
        Transition("deliver", frozenset({LOADED}), DELIVERED, AT_THE_DOCK),
        Transition("cancel", frozenset({PLANNED}), CANCELLED, DISPATCH, ("reason",)),
    ],
    states=(PLANNED, LOADED, DELIVERED, CANCELLED),
    initial=PLANNED,
)
LOADS_AT_RISK = TransitionTable(
    "load at risk",
    [
        *_staying("add_reading", (RISK_OPEN,), WITH_THE_LOAD),
        *_staying("add_call", (RISK_OPEN,), WITH_THE_LOAD, ("text",)),
        *_staying("add_decision", (RISK_OPEN,), DECIDE_OVER_LOAD, ("text",)),
        Transition("dispose", frozenset({RISK_OPEN}), RISK_CLOSED, DECIDE_OVER_LOAD, ("disposition", "signature")),
    ],
    states=(RISK_OPEN, RISK_CLOSED),
    initial=RISK_OPEN,
)
# A clean inspection owes no answer and has no moves.
ROADSIDE_INSPECTIONS = TransitionTable(
    "roadside inspection",
    [
        Transition(
            "answer", frozenset({ANSWER_OWED}), ANSWERED, frozenset({"compliance"}), ("official_title", "signature")
        )
    ],
    states=(ANSWER_OWED, ANSWERED),
    initial=ANSWER_OWED,
)

TABLES = (DEFECTS, HOLDS, REFUSALS, LIMITED_MOVES)
DISPATCH_TABLES = (LOADS, LOADS_AT_RISK, ROADSIDE_INSPECTIONS)


def roles_for(table: TransitionTable, *actions: str) -> frozenset[str]:
    """Every role that may do one of the actions from some state, the service itself left out; KeyError."""
    unknown = sorted(set(actions) - set(table.actions))
    if unknown:
        raise KeyError(", ".join(unknown))
    return frozenset(role for row in table.transitions if row.action in actions for role in row.roles) - {SYSTEM}
