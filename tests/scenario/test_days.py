"""Every day of the scenario against a real server process, each person with their own token."""

import pytest

from fixtures.scenario.days import DAYS
from fixtures.scenario.stage import Stage

pytestmark = pytest.mark.long  # one server for all days


@pytest.mark.parametrize("number", sorted(DAYS))
def test_day__as_the_scenario_says(stage: Stage, number: int) -> None:
    """The day's own expectations fail it."""
    DAYS[number].play(stage)

    assert any(client.calls for client in stage.people.values())
