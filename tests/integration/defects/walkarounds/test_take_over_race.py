"""A coupled trailer taken over by two drivers at once: both walk-arounds are kept, and it runs with one of them.

With the lock taken out, to see it fail.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, BrokenBarrierError
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, OperationalError, connections

from common.ids import uuid7
from defects.enums import WalkaroundKind
from defects.models import Walkaround
from defects.services.walkarounds.intake import submit_walkaround
from fleet.models import Coupling, CouplingMember, Unit
from fleet.selectors.units.combinations import members_of_couplings
from fleet.services.records import unit_of_work
from fleet.services.records.verification.verify import verify_history
from fleet.services.units import couplings
from tests.support.committing import CommittingDatabase
from tests.support.dock import Dock, make_dock, make_tractor
from tests.support.submissions import report_on, submission
from tests.support.unlocked import read_only
from tests.support.yard import HOUR, MINUTE

pytestmark = pytest.mark.timeout(120)


@pytest.fixture
def dock(committing_db: CommittingDatabase) -> Dock:
    """NL-13 is coupled to LR-46; NL-21 and NL-22 stand beside it."""
    dock = make_dock()
    for number in ("NL-21", "NL-22"):
        make_tractor(number)
    dock.later(HOUR)
    return dock


def hand_in(dock: Dock, driver: str, tractor: str, minutes_ago: int) -> Any:
    """A walk-around of a tractor with LR-46, coupled."""
    finished = dock.now - minutes_ago * MINUTE
    reports = [report_on(tractor), report_on("LR-46")]
    given = submission(finished, kind=WalkaroundKind.PICK_UP, coupled=True, reports=reports)
    return submit_walkaround(walkaround_id=uuid7(), submission=given, actor=dock[driver], now=dock.now)


def together(*runs: Callable[[], Any]) -> list[Any]:
    """What each returned or raised, on connections of their own."""

    def start(run: Callable[[], Any]) -> Any:
        try:
            return run()
        except DatabaseError as error:
            return error
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(runs)) as pool:
        return [future.result() for future in [pool.submit(start, run) for run in runs]]


@pytest.fixture
def meeting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both have read which couplings there are before either writes; with the lock the second never comes."""
    barrier = Barrier(2)

    def read_and_wait(*args: Any) -> Any:
        found = members_of_couplings(*args)
        try:
            barrier.wait(1.5)
        except BrokenBarrierError:
            barrier.reset()
        return found

    monkeypatch.setattr(couplings, "members_of_couplings", read_and_wait)


def both(dock: Dock) -> list[Any]:
    return together(lambda: hand_in(dock, "iris", "NL-21", 2), lambda: hand_in(dock, "sol", "NL-22", 1))


@pytest.mark.usefixtures("meeting")
def test_two_drivers_take_the_trailer_at_once__both_kept_and_the_later_counts(dock: Dock) -> None:
    results = both(dock)

    assert [result for result in results if isinstance(result, Exception)] == []
    assert Walkaround.objects.filter(kind="pick_up").count() == 2
    spans = list(CouplingMember.objects.filter(unit=dock.trailer).order_by("span").values_list("span", flat=True))
    assert len(spans) == 3
    assert [span.upper for span in spans[:-1]] == [span.lower for span in spans[1:]]
    assert spans[-1].upper is None
    running = Coupling.objects.get(members__unit=dock.trailer, ended_at=None)
    units = Unit.objects.filter(coupling_spans__coupling=running).order_by("number")
    assert [unit.number for unit in units] == ["LR-46", "NL-22"]
    assert running.took_over
    # Taken in by the order of their finishing, two couplings were taken over; the other way round the earlier one began
    # with its end already known, and only the first was.
    assert Coupling.objects.filter(taken_over=True).count() in {1, 2}
    assert not running.taken_over
    assert list(verify_history()) == []


@pytest.mark.usefixtures("meeting")
def test_the_same_without_the_lock__one_of_them_fails(dock: Dock, monkeypatch: pytest.MonkeyPatch) -> None:
    """The negative control: both end the old coupling and begin their own, and the database refuses the overlap."""
    monkeypatch.setattr(unit_of_work, "lock_units", read_only)
    failed = [result for result in both(dock) if isinstance(result, IntegrityError | OperationalError)]
    assert len(failed) == 1
