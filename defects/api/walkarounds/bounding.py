"""How much of one walk-around is gone through piece by piece: each costs a defect, entries of history and an order.

A driver finds a dozen things wrong, and a combination has fewer points than stand one by one. What is beyond is neither
refused nor lost: it stands as one fault of its report, in the words that were sent, and bars its unit until a foreman
has looked at it.
"""

from collections.abc import Mapping
from typing import Any

from common.api.field_bodies import UNREAD, FieldBody, Odd
from common.api.signed_bodies import OddCode
from defects.enums import CheckAnswer

MOST_FOUND = 400
"""Answers that say more than that a point was fine or not looked at, and faults, of one walk-around."""

QUIET = frozenset({CheckAnswer.FINE, CheckAnswer.NOT_APPLICABLE, CheckAnswer.NOT_REACHED})


def bounded(read: FieldBody) -> FieldBody:
    """The walk-around with no more than `MOST_FOUND` of what may be wrong standing one by one."""
    room = MOST_FOUND
    reports = []
    for report in read.given.get("reports", ()):
        kept: dict[str, Any] = {}
        unread = dict(report.get(UNREAD, {}))
        for name in ("checks", "faults"):
            given = report.get(name, ())
            loud = [item for item in given if name == "faults" or _is_loud(item)]
            beyond = loud[room:]
            room -= len(loud) - len(beyond)
            if beyond:
                out = {id(item) for item in beyond}
                kept[name] = [item for item in given if id(item) not in out]
                unread[name] = [*beyond, *unread.get(name, ())]
        reports.append({**report, **kept, UNREAD: unread} if kept else report)
    if all(new is old for new, old in zip(reports, read.given.get("reports", ()), strict=True)):
        return read
    return FieldBody({**read.given, "reports": reports}, [*read.odd, Odd(("reports",), OddCode.LIST_CUT)])


def _is_loud(check: Mapping[str, Any]) -> bool:
    """Whether something may be found by it; a measured value may be beyond its limit whatever the answer is."""
    return check.get("answer") not in QUIET or bool(check.get("value"))
