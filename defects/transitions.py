"""What may be done with defects, holds, refusals and limited moves, from which state, by whom.

`SYSTEM` rows follow from something else: the shop's work, a passed limit, a review, a worse finding.
"""

from collections.abc import Collection

from common.transitions import SYSTEM, Transition, TransitionTable

REPORTED, IN_REPAIR, DEFERRED = "reported", "in_repair", "deferred"
CERTIFIED, CLOSED, ENTERED_IN_ERROR = "certified", "closed", "entered_in_error"
STANDING, LIFTED = "standing", "lifted"
WAITING, LOOKED_AT = "waiting", "looked_at"
ALLOWED, ENDED = "allowed", "ended"

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
        Transition("enter_in_error", frozenset(OPEN), ENTERED_IN_ERROR, FOREMAN, ("reason",)),
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

TABLES = (DEFECTS, HOLDS, REFUSALS, LIMITED_MOVES)


def roles_for(table: TransitionTable, *actions: str) -> frozenset[str]:
    """Every role that may do one of the actions from some state, the service itself left out; KeyError."""
    unknown = sorted(set(actions) - set(table.actions))
    if unknown:
        raise KeyError(", ".join(unknown))
    return frozenset(role for row in table.transitions if row.action in actions for role in row.roles) - {SYSTEM}
