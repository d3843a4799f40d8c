"""When a walk-around was really done: the device's times corrected for its clock. Pure."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from defects.rules.walkarounds.body import WalkaroundBody

SKEW_TOLERATED = timedelta(minutes=2)
"""Our own default: a clock that is off by more is flagged."""

LONGEST_WALK = timedelta(hours=12)
"""Our own default: a walk-around that took longer, or ended before it began, is flagged."""

SHORTEST_LOOK = timedelta(seconds=1)
"""Our own default: nobody looks at a leg or answers a point in less. A walk-around of fewer seconds is flagged."""

LONGEST_ON_THE_WAY = timedelta(days=90)
"""Our own default: a phone that says a walk-around was finished longer ago has lost its clock."""

LARGEST_SKEW = timedelta(seconds=2**31 - 1)
"""What a skew in seconds is stored in; no clock that is further off tells anything."""

TIME_UNKNOWN = frozenset({"time_not_given", "clock_ahead", "clock_behind"})
"""What is flagged where it is not known when a walk-around was done."""


@dataclass(frozen=True, slots=True)
class Timing:
    """`skew` is what is added to the device's times; `flags` are codes a foreman must look at.

    The device's times are as given, each that was not is the nearest thing to it. When the time is not `known`,
    `performed_at` is when it came in, and nothing on it counts as fine.
    """

    started_at: datetime
    finished_at: datetime
    signed_at: datetime
    performed_at: datetime
    skew: timedelta
    offset_minutes: int
    flags: tuple[str, ...]
    known: bool = True


def time_of(body: WalkaroundBody, received_at: datetime) -> Timing:
    """Order a walk-around by the time it was finished, corrected for the skew its sending shows; never in the future.

    Without a sending time the device's clock is believed unless it is ahead of the service's, or months behind it.
    """
    signed_at = (body.signature and body.signature.signed_at) or body.finished_at or received_at
    finished_at = body.finished_at or signed_at
    started_at = body.started_at or finished_at
    flags = []
    skew = timedelta(0)
    if body.sent_at is not None:
        seen = received_at - body.sent_at
        if abs(seen) > SKEW_TOLERATED:
            skew = seen
            flags.append("clock_skewed")
    ago = received_at - finished_at - skew
    known = body.finished_at is not None and -SKEW_TOLERATED <= ago <= LONGEST_ON_THE_WAY
    if body.finished_at is None:
        flags.append("time_not_given")
    elif ago < -SKEW_TOLERATED:
        flags.append("clock_ahead")
    elif not known:
        flags.append("clock_behind")
    if ago < timedelta(0) or not known:
        skew += ago
        ago = timedelta(0)
    took = finished_at - started_at
    if took < timedelta(0) or took > LONGEST_WALK:
        flags.append("walk_times_implausible")
    elif body.started_at is not None and took < _least(body):
        flags.append("walk_too_short")
    begun_at = min(started_at, finished_at)
    if known and not (signed_at >= begun_at - SKEW_TOLERATED and received_at - signed_at - skew >= -SKEW_TOLERATED):
        flags.append("signed_at_implausible")
    offset = finished_at.utcoffset() or timedelta(0)
    return Timing(
        started_at=started_at,
        finished_at=finished_at,
        signed_at=signed_at,
        performed_at=received_at - ago,
        skew=max(-LARGEST_SKEW, min(skew, LARGEST_SKEW)),
        offset_minutes=int(offset.total_seconds() // 60),
        flags=tuple(flags),
        known=known,
    )


def _least(body: WalkaroundBody) -> timedelta:
    """The least time that all looks and answers of a walk-around take, one after the other."""
    said = sum(len(report.looked_at) + len(report.checks) + len(report.faults) for report in body.reports)
    return max(said, 1) * SHORTEST_LOOK
