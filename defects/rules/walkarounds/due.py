"""When a point is due again, and which pair of measurements a daily walk asks beside what is asked every time. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from defects.enums import Form
from defects.rules.catalogue.closed_sets import HowOften
from defects.rules.catalogue.points import Point

INTERVAL = timedelta(days=7)
"""Our own default: what is asked weekly, and what rotates, is due again so long after it was last answered."""

PAIR = 2
"""Our own default: how many of the measurements that rotate a daily walk asks, those done longest ago first."""

WITH_PAIR = (Form.DAILY, Form.SEALED)

Of = tuple[int, str]
"""A point of a unit: the unit by its number among those walked round, and the point's name."""


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


def rotating_pair(form: Form, points: Iterable[tuple[Of, Point]], answered_on: Mapping[Of, date | None]) -> set[Of]:
    """The measurements of all that rotate that a form asks today, of points given in walking order."""
    if form not in WITH_PAIR:
        return set()
    rotating = [
        of
        for of, point in points
        if point.often is HowOften.ROTATING
        and point.measure is not None
        and not (form is Form.SEALED and point.behind_seal)
    ]
    return set(sorted(rotating, key=lambda of: answered_on.get(of) or date.min)[:PAIR])
