"""On which days the answer owed to an officer's report is called to mind. Pure; who is told stands elsewhere."""

from datetime import date

BEFORE = (7, 3, 1, 0)
"""So many days before the last day, for an answer owed within 15 (396.9(d)(3)). Common practice, no source."""
DAILY_FOR = 7
"""Overdue it is called to mind every day for a week, and every week after that. Our own default."""


def step_due(due_on: date, today: date) -> str | None:
    """The step of the ladder that a day has reached: the newest one, whichever days nobody looked; None before it.

    `due-7` is seven days before the last day, `overdue-2` two days after it.
    """
    left = (due_on - today).days
    if left >= 0:
        reached = [days for days in BEFORE if left <= days]
        return f"due-{min(reached)}" if reached else None
    late = -left
    return f"overdue-{late if late <= DAILY_FOR else late // DAILY_FOR * DAILY_FOR}"
