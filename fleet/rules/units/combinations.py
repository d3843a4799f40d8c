"""Which units can run together, and what a driver's taking over ends and begins. Storing it lives in services."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

TRACTOR = "tractor"
TRAILER = "trailer"
MAX_TRAILERS = 3
_SHORTEST = timedelta(microseconds=1)
_MOMENT = timedelta(milliseconds=1)
"""What begins no farther apart is of one moment: phones send whole seconds, and then the order of receipt decides."""


@dataclass(frozen=True)
class Span:
    """One unit's part in one coupling, from an instant until before another (None: still)."""

    coupling: UUID
    unit: UUID
    starts_at: datetime
    ends_at: datetime | None

    def covers(self, at: datetime) -> bool:
        """Whether the unit is in the coupling at an instant."""
        return self.starts_at <= at and (self.ends_at is None or at < self.ends_at)


@dataclass(frozen=True)
class TakeOver:
    """What a driver's having these units together means.

    `stands` is the coupling that already says so. Otherwise the couplings `ends` end at `starts_at`, a new one of
    `members` begins then, and it lasts until `ends_at`, when one of them is already recorded elsewhere. `released` are
    all units of the ended couplings.
    """

    stands: UUID | None
    ends: frozenset[UUID]
    released: frozenset[UUID]
    members: frozenset[UUID]
    starts_at: datetime
    ends_at: datetime | None


def is_combination(kinds: Iterable[str]) -> bool:
    """Whether units of these kinds run together: one tractor, one to three trailers, nothing else."""
    given = sorted(kinds)
    trailers = given.count(TRAILER)
    return given.count(TRACTOR) == 1 and 1 <= trailers <= MAX_TRAILERS and len(given) == 1 + trailers


def plan_take_over(
    kinds: Mapping[UUID, str], spans: Collection[Span], at: datetime, confirmed: Collection[UUID] = ()
) -> TakeOver | None:
    """What follows from one driver having units (key to kind) together at an instant.

    `spans` are all parts of every coupling in which any of the units takes part at or after `at`. None when nothing
    is known or claimed: the units make no combination and are in none. Units that are only a part of one recorded
    combination do not claim its end, and cooling units are mounted, not coupled. A coupling of `confirmed` was seen
    after the instant and does not end: then None too.
    """
    named = frozenset(unit for unit, kind in kinds.items() if kind in {TRACTOR, TRAILER})
    parts = [span for span in spans if span.unit in named]
    starts = _behind_the_same_moment(at, parts)
    covering = {span.coupling for span in parts if span.covers(starts)}
    members = {coupling: frozenset(s.unit for s in spans if s.coupling == coupling) for coupling in covering}
    stands = next((coupling for coupling in sorted(covering) if named <= members[coupling]), None)
    if stands is not None:
        return TakeOver(stands, frozenset(), frozenset(), members[stands], starts, None)
    if not covering.isdisjoint(confirmed) or not is_combination(kinds[unit] for unit in named):
        return None
    later = [span.starts_at for span in parts if span.starts_at > starts]
    return TakeOver(
        stands=None,
        ends=frozenset(covering),
        released=frozenset().union(*members.values()),
        members=named,
        starts_at=starts,
        ends_at=min(later, default=None),
    )


def _behind_the_same_moment(at: datetime, parts: Iterable[Span]) -> datetime:
    """The instant itself, or the first one behind all that these units are recorded in from that moment on."""
    for begun in sorted(span.starts_at for span in parts if span.starts_at >= at):
        if begun > at + _MOMENT:
            break
        at = begun + _SHORTEST
    return at
