"""What an answer to dispatch consists of. How it is found stands in the other modules of this package."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from defects.enums import ClearanceAnswer
from defects.rules.clearance.codes import Code, EndsWhen, ReasonKind

FactValue = str | int | bool | date | Decimal | tuple[str, ...]
Facts = tuple[tuple[str, FactValue], ...]
"""The facts that fill a code's sentence, in a fixed order; instants in UTC."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing against rolling. `unit` is empty for what concerns the combination, the carrier or the driver.

    `source` is the rule; `since` when it began to stand, `expected_at` when the shop expects it to end.
    """

    kind: ReasonKind
    code: Code
    unit: str
    facts: Facts
    source: str
    ends_when: EndsWhen
    since: datetime | None = None
    expected_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Unknown:
    """One thing that was not or could not be assessed, and does not bar; what bars for want of a fact is a reason."""

    code: Code
    unit: str
    facts: Facts
    ends_when: EndsWhen


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """One thing that stands and neither bars nor waits for the driver: whoever rolls should know of it."""

    code: Code
    unit: str
    facts: Facts


@dataclass(frozen=True, slots=True)
class Ending:
    """The instant from which leaving would find more against it, with nothing new recorded, and what does it."""

    leave_by: datetime
    code: Code
    unit: str
    facts: Facts


@dataclass(frozen=True, slots=True)
class ClearanceJudgement:
    """The whole answer. Never says that a vehicle is safe.

    `valid_until` is the instant before which the units must have left for the answer to hold by time alone; None when
    nothing ends it or when it is `barred`. `first_to_end_it` is what does.
    """

    answer: ClearanceAnswer
    reasons: tuple[Reason, ...]
    unknown: tuple[Unknown, ...]
    left_open: tuple[LeftOpen, ...] = ()
    first_to_end_it: Ending | None = None

    @property
    def valid_until(self) -> datetime | None:
        """The instant of `first_to_end_it`."""
        return self.first_to_end_it.leave_by if self.first_to_end_it is not None else None
