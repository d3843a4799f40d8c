"""When a point is due again, and which measurements a daily walk asks in turn."""

from datetime import date, timedelta

import pytest

from defects.enums import Form
from defects.rules.catalogue.closed_sets import HowOften
from defects.rules.walkarounds.due import INTERVAL, Due, due, rotating_pair
from tests.support.rule_facts import point

TODAY = date(2026, 3, 6)
DAY = timedelta(days=1)
STEER, DRIVE, TRAILER = (
    "tires.steer.tread-depth",
    "tires.drive.tread-depth",
    "tires.trailer.tread-depth",
)
IN_TURN = [((0, STEER), point(STEER)), ((0, DRIVE), point(DRIVE)), ((1, TRAILER), point(TRAILER))]


@pytest.mark.parametrize(
    ("often", "answered_on", "found"),
    [
        ("every_walk", TODAY, Due(now=True)),
        ("at_service", None, Due(now=False)),
        ("weekly", None, Due(now=True)),
        ("weekly", TODAY - INTERVAL + DAY, Due(now=False, on=TODAY + DAY)),
        ("weekly", TODAY - INTERVAL, Due(now=True, on=TODAY)),
        ("rotating", TODAY - INTERVAL - DAY, Due(now=True, on=TODAY - DAY)),
    ],
)
def test_cadence_and_last_answer__say_whether_and_since_when_it_is_due(
    often: str, answered_on: date | None, found: Due
) -> None:
    assert due(HowOften(often), answered_on, TODAY) == found


def test_pair__never_measured_first_then_those_measured_longest_ago() -> None:
    assert rotating_pair(Form.DAILY, IN_TURN, {}) == {(0, STEER), (0, DRIVE)}
    answered = {(0, STEER): TODAY, (0, DRIVE): TODAY - DAY}
    assert rotating_pair(Form.DAILY, IN_TURN, answered) == {(0, DRIVE), (1, TRAILER)}


@pytest.mark.parametrize("form", [form for form in Form if form not in {Form.DAILY, Form.SEALED}])
def test_other_forms__ask_no_pair(form: Form) -> None:
    assert rotating_pair(form, IN_TURN, {}) == set()


def test_what_is_asked_otherwise__never_in_the_pair() -> None:
    """Looked at in turn, or asked every time: no measurement that rotates."""
    others = [((0, name), point(name)) for name in ("engine.belts", "cab.identification", "air.governor.cut-in")]
    assert rotating_pair(Form.DAILY, others, {}) == set()
