"""The days on which reminders of a due answer go out."""

from datetime import date, timedelta

import pytest

from defects.rules.roadside import step_due

DUE = date(2026, 3, 29)


@pytest.mark.parametrize(
    ("left", "step"),
    [
        (15, None),
        (8, None),
        (7, "due-7"),
        (6, "due-7"),
        (4, "due-7"),
        (3, "due-3"),
        (2, "due-3"),
        (1, "due-1"),
        (0, "due-0"),
        (-1, "overdue-1"),
        (-7, "overdue-7"),
        (-8, "overdue-7"),
        (-13, "overdue-7"),
        (-14, "overdue-14"),
        (-20, "overdue-14"),
        (-21, "overdue-21"),
    ],
)
def test_days_left__the_newest_step_reached(left: int, step: str | None) -> None:
    assert step_due(DUE, DUE - timedelta(days=left)) == step
