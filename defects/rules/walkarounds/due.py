"""When a point is due again, and which measurements a daily walk asks in turn beside what is asked every time. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from defects.enums import Form
from defects.rules.catalogue.closed_sets import HowOften
from defects.rules.catalogue.points import Point

INTERVAL = timedelta(days=7)
"""Our own default: what is asked weekly, and what rotates, is due again so long after it was last answered."""

WALKS_TO_ALL = 5
"""Our own default: each rotating measurement of a unit is asked once in so many daily walks, a week of working days."""

IN_TURN = (Form.DAILY, Form.SEALED)


@dataclass(frozen=True, slots=True)
class Due:
    """Whether a point is due, and the day since when, or on which it will be.

    There is no day where it is due on every walk, where no answer of it is known, and where only a service asks it.
    """

    now: bool
    on: date | None = None


def due(often: HowOften, answered_on: date | None, today: date) -> Due:
    """Whether a point of that cadence is due; `answered_on` is the day of the last answer that is known."""
    if often is HowOften.EVERY_WALK:
        return Due(now=True)
    if often is HowOften.AT_SERVICE:
        return Due(now=False)
    if answered_on is None:
        return Due(now=True)
    again = answered_on + INTERVAL
    return Due(now=again <= today, on=again)


def asked_in_turn(form: Form, points: Iterable[Point], answered_on: Mapping[str, date | None], today: date) -> set[str]:
    """The rotating measurements of one unit that a form asks today: a fifth of them, whatever the unit runs with.

    Those whose turn it is by the calendar, as far as they are due, and beside them those due the longest: so what is
    answered without a value, as of equipment that is not there, takes its turn and never another's for good. `points`
    are in walking order.
    """
    if form not in IN_TURN:
        return set()
    rotating = [
        point.name
        for point in points
        if point.often is HowOften.ROTATING and not (form is Form.SEALED and point.behind_seal)
    ]
    turns = rotating[today.toordinal() % WALKS_TO_ALL :: WALKS_TO_ALL]
    mine = [name for name in turns if due(HowOften.ROTATING, answered_on.get(name), today).now]
    longest_ago = sorted(rotating, key=lambda name: answered_on.get(name) or date.min)
    return set([*mine, *(name for name in longest_ago if name not in mine)][: ceil(len(rotating) / WALKS_TO_ALL)])
