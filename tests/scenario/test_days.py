"""Each day of the scenario by itself, on a carrier just loaded, against a real server process.

The suite plays them one after the other (`tests/lived`), and day 5 by itself (`test_readme.py`).
"""

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from fixtures.management.commands import replay_scenario
from fixtures.scenario.client import UnexpectedAnswerError
from fixtures.scenario.days import DAYS, Day
from fixtures.scenario.stage import Stage


@pytest.mark.drill
@pytest.mark.parametrize("number", sorted(DAYS))
def test_day__as_the_scenario_says(stage: Stage, number: int) -> None:
    """The day's own expectations fail it."""
    DAYS[number].play(stage)

    assert any(client.calls for client in stage.people.values())


def test_day_that_another_has_spoiled__says_how_to_start_over(monkeypatch: pytest.MonkeyPatch) -> None:
    def play(_stage: Stage) -> None:
        raise UnexpectedAnswerError("expected: nobody leads the task")

    monkeypatch.setattr(replay_scenario, "DAYS", {22: Day("Day 22.", play)})
    with pytest.raises(CommandError, match=r"day 22: expected: nobody leads the task\n.*make demo-reset"):
        call_command("replay_scenario", "--day=22")
