"""Which move an order makes of its own, because its tasks and their defects say so. Pure."""

from collections.abc import Collection

from common.transitions import SYSTEM
from workorders.rules.orders import TaskFact, all_settled, may_close, nothing_left, only_road_tests_left
from workorders.transitions import ORDER_TABLE


def next_move(state: str, facts: Collection[TaskFact], moves: Collection[str]) -> str | None:
    """The action of its own that an order in this state takes next, among `moves`; None when it stays.

    An order without any defect is closed by a person: no certificate says that it is right.
    """
    holds = {
        "all_settled": all_settled(facts),
        "all_certified": may_close(facts) and any(fact.defect is not None for fact in facts),
        "nothing_left": nothing_left(facts),
        "wait_for_road_test": only_road_tests_left(facts),
    }
    allowed = ORDER_TABLE.allowed_actions(state, {SYSTEM})
    return next((action for action in allowed if action in moves and holds.get(action)), None)
