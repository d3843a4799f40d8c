import datetime as dt

import pytest
from django.db import OperationalError

from common.jobs import MINUTE, Job, Run
from fleet.services.operation.job_rounds import Rounds

NOON = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)


class Day:
    """A clock that a test moves, and what ran by it."""

    def __init__(self) -> None:
        self.now = NOON
        self.ran: list[str] = []
        self.stopped = False

    def job(self, name: str, every: dt.timedelta = MINUTE, fails: BaseException | None = None) -> Job:
        def run(_: Run) -> None:
            self.ran.append(name)
            if fails is not None:
                raise fails

        return Job(name, every, run)

    def rounds(self, *jobs: Job) -> Rounds:
        return Rounds(jobs, Run(clock=lambda: self.now, stop=lambda: self.stopped))


@pytest.fixture(autouse=True)
def noted(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, bool]]:
    """What would be noted of each run; there is no database here."""
    noted: list[tuple[str, bool]] = []
    monkeypatch.setattr("fleet.services.operation.job_rounds.close_old_connections", lambda: None)
    monkeypatch.setattr(
        "fleet.services.operation.job_rounds.note_run", lambda name, *, well, now: noted.append((name, well))
    )
    return noted


def test_job_that_rests__skipped_until_it_has_rested() -> None:
    day = Day()
    rounds = day.rounds(day.job("often"), day.job("hourly", every=60 * MINUTE))

    for _ in range(3):
        assert rounds.next() is True
        day.now += 30 * MINUTE

    assert day.ran == ["often", "hourly", "often", "often", "hourly"]


@pytest.mark.parametrize("why", [OperationalError("the server closed the connection"), RuntimeError("a mistake")])
def test_job_fails__others_run_and_it_is_tried_in_the_next_round(
    why: Exception, noted: list[tuple[str, bool]], caplog: pytest.LogCaptureFixture
) -> None:
    day = Day()
    rounds = day.rounds(day.job("broken", every=60 * MINUTE, fails=why), day.job("sound"))

    assert rounds.next() is False
    assert rounds.next() is False

    assert day.ran == ["broken", "sound", "broken", "sound"]
    assert caplog.text.count("job broken failed") == 2
    assert noted == [("broken", False), ("sound", True)] * 2


def test_lost_database__told_in_one_line_and_a_mistake_with_its_trace(caplog: pytest.LogCaptureFixture) -> None:
    day = Day()

    day.rounds(day.job("lost", fails=OperationalError("gone"))).next()
    assert "Traceback" not in caplog.text
    day.rounds(day.job("mistaken", fails=RuntimeError("a mistake"))).next()
    assert "Traceback" in caplog.text


def test_asked_to_stop__no_further_job_begun() -> None:
    day = Day()

    def stopping(_: Run) -> None:
        day.ran.append("first")
        day.stopped = True

    day.rounds(Job("first", MINUTE, stopping), day.job("second")).next()

    assert day.ran == ["first"]
