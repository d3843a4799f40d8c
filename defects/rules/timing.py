"""When a walk-around was really done: the device's times corrected for its clock. Pure."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from defects.rules.submission import Submission

SKEW_TOLERATED = timedelta(minutes=2)
"""Our own default: a clock that is off by more is queried."""

LONGEST_WALK = timedelta(hours=12)
"""Our own default: a walk-around that took longer, or ended before it began, is queried."""


@dataclass(frozen=True, slots=True)
class Timing:
    """`skew` is what is added to the device's times; `queries` are codes a foreman must look at."""

    performed_at: datetime
    skew: timedelta
    offset_minutes: int
    queries: tuple[str, ...]


def time_of(submission: Submission, received_at: datetime) -> Timing:
    """Order a walk-around by the time it was finished, corrected for the skew its sending shows; never in the future.

    Without a sending time the device's clock is believed unless it is ahead of the service's.
    """
    queries = []
    skew = timedelta(0)
    if submission.sent_at is not None:
        seen = received_at - submission.sent_at
        if abs(seen) > SKEW_TOLERATED:
            skew = seen
            queries.append("clock_skewed")
    performed_at = submission.finished_at + skew
    if performed_at > received_at:
        if performed_at - received_at > SKEW_TOLERATED:
            queries.append("clock_ahead")
        skew -= performed_at - received_at
        performed_at = received_at
    took = submission.finished_at - submission.started_at
    if took < timedelta(0) or took > LONGEST_WALK:
        queries.append("walk_times_implausible")
    offset = submission.finished_at.utcoffset() or timedelta(0)
    return Timing(performed_at, skew, int(offset.total_seconds() // 60), tuple(queries))
