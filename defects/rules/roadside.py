"""What an officer's report makes of a fault, and when its answer is reminded of. Pure; who is told stands elsewhere."""

from dataclasses import dataclass
from datetime import date

from defects.enums import Severity, worst

BEFORE = (7, 3, 1, 0)
"""So many days before the last day, for an answer due within 15 (396.9(d)(3)). Common practice, no source."""
DAILY_FOR = 7
"""Once overdue, reminders go out every day for a week, then every week. Our own default."""


def step_due(due_on: date, today: date) -> str | None:
    """The reminder step that a day has reached: the newest one, whichever days nobody looked; None before it.

    `due-7` is seven days before the last day, `overdue-2` two days after it.
    """
    left = (due_on - today).days
    if left >= 0:
        reached = [days for days in BEFORE if left <= days]
        return f"due-{min(reached)}" if reached else None
    late = -left
    return f"overdue-{late if late <= DAILY_FOR else late // DAILY_FOR * DAILY_FOR}"


SOURCE = "49 CFR 396.9(c)(2), (d)(2)"


@dataclass(frozen=True, slots=True)
class NotedFault:
    """One line of a report: our own grade of the condition where a point describes it, and whether it is an order."""

    own: Severity | None
    out_of_service: bool


def severity_of_noted(fault: NotedFault) -> Severity:
    """What the fault stops: an order says do not move, any other violation is repaired before the next use.

    396.9(c)(2) forbids operating until all repairs on the notice are done; 396.9(d)(2) has violations corrected as
    396.11(a)(3) asks, before the vehicle is used again.
    """
    officers = Severity.DO_NOT_MOVE if fault.out_of_service else Severity.BEFORE_NEXT_USE
    return worst(grade for grade in (officers, fault.own) if grade is not None) or officers
