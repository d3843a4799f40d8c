"""Phones that send at once: one defect, no deadlock, no doubled walk-around. Each with the lock taken out, to fail."""

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from threading import Barrier, Event, get_ident
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, OperationalError, connections, transaction

from common import clock
from common.ids import uuid7
from defects.models import Defect, Hold, Report, Sighting, Walkaround
from defects.selectors.walkarounds.receipts import Receipt
from defects.services.walkarounds import context, intake, judging
from fleet.models import CoolingUnitDetails, Mounting, Unit, UnitChain
from fleet.selectors.units.combinations import Combination, combination_of
from fleet.services.records import unit_of_work
from fleet.services.records.unit_of_work import Beside, lock_units
from fleet.services.units.mountings import dismount, mount
from tests.support.ninefold import person
from tests.support.unlocked import read_only
from tests.support.walks import body, check, hand_in

pytestmark = pytest.mark.usefixtures("ninefold_committed")


def together(*runs: Callable[[], Any]) -> list[Any]:
    """What each returned or raised, all started at the same moment on connections of their own."""
    barrier = Barrier(len(runs))

    def start(run: Callable[[], Any]) -> Any:
        try:
            barrier.wait(20)
            return run()
        except Exception as error:  # noqa: BLE001  the test looks at it
            return error
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(runs)) as pool:
        return [future.result() for future in [pool.submit(start, run) for run in runs]]


def fault(now: datetime) -> dict[str, Any]:
    tire = check("tires.trailer.body", "axle-1-left-outer", "defect")
    return body([{"unit": "LR-45", "checks": [tire]}], finished_at=now)


def test_two_phones_report_the_same_fault_at_once__one_defect_two_sightings() -> None:
    now = clock.now()

    results = together(lambda: hand_in("iris", fault(now)), lambda: hand_in("sol", fault(now)))

    assert [result for result in results if isinstance(result, Exception)] == []
    defect = Defect.objects.get(point="tires.trailer.body")
    assert Sighting.objects.filter(defect=defect).count() == 2
    assert Hold.objects.filter(defect=defect).count() == 1
    assert sorted(Sighting.objects.values_list("how", flat=True)) == ["new", "seen_again"]


def test_the_same_without_the_lock__one_of_them_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    """The negative control: without the lock both think the fault is new, and the unique index refuses one."""
    hand_in(
        "tomo", body([{"unit": "LR-41"}], finished_at=clock.now())
    )  # stores the catalogue, on which both would wait
    monkeypatch.setattr(unit_of_work, "lock_units", read_only)
    both_looked, waited = Barrier(2), set()
    looking = context.defects_of

    def look_and_wait(*args: Any, **kwargs: Any) -> Any:
        found = looking(*args, **kwargs)
        if get_ident() not in waited:
            waited.add(get_ident())
            both_looked.wait(20)
        return found

    monkeypatch.setattr(judging, "defects_of", look_and_wait)
    now = clock.now()

    results = together(lambda: hand_in("iris", fault(now)), lambda: hand_in("sol", fault(now)))

    assert [result for result in results if isinstance(result, IntegrityError | OperationalError)] != []


def both_ways(now: datetime, *, reverse: bool) -> dict[str, Any]:
    units = ["LR-41", "LR-42", "LR-43", "LR-44"]
    reports = [{"unit": unit} for unit in (reversed(units) if reverse else units)]
    return body(reports, finished_at=now)


def broken_off(monkeypatch: pytest.MonkeyPatch) -> list[str | None]:
    """Fills with how the database broke off an attempt (SQLSTATE), those included that were tried again."""
    states: list[str | None] = []
    attempt = intake.take_in

    def watched(*given: Any, **by: Any) -> Receipt:
        try:
            return attempt(*given, **by)
        except OperationalError as error:
            states.append(getattr(error.__cause__, "sqlstate", None))
            raise

    monkeypatch.setattr(intake, "take_in", watched)
    return states


def test_opposite_orders_many_times__no_deadlock_nothing_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    now, states = clock.now(), broken_off(monkeypatch)
    runs = [
        (lambda username=username, reverse=reverse: hand_in(username, both_ways(now, reverse=reverse)))
        for username, reverse in [("iris", False), ("sol", True)] * 10
    ]

    results = together(*runs)

    assert [result for result in results if isinstance(result, Exception)] == []
    assert states == []
    assert Walkaround.objects.count() == 20
    assert Report.objects.count() == 80


def test_opposite_orders_locked_as_named__deadlock_and_only_the_retry_saves_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """The negative control: each locks its first unit and then the rest, one upwards and one downwards."""
    hand_in("tomo", body([{"unit": "LR-45"}], finished_at=clock.now()))  # stores the catalogue
    first_taken, downwards = Barrier(2), iter([False, True])

    def lock_as_named(units: Iterable[UUID], *, beside: Beside, at: datetime) -> Sequence[UnitChain]:
        order = next(downwards, None)
        if order is not None:
            UnitChain.objects.select_for_update(no_key=True).get(unit_id=sorted(units, reverse=order)[0])
            first_taken.wait(20)
        return lock_units(units, beside=beside, at=at)

    monkeypatch.setattr(unit_of_work, "lock_units", lock_as_named)
    now, states = clock.now(), broken_off(monkeypatch)

    results = together(*[lambda name=name: hand_in(name, both_ways(now, reverse=False)) for name in ("iris", "sol")])

    assert states == ["40P01"]
    assert [result for result in results if isinstance(result, Exception)] == []
    assert Report.objects.count() == 9


def remounted_meanwhile(monkeypatch: pytest.MonkeyPatch) -> tuple[list[Any], list[set[str]]]:
    """CU-45 moves to LR-47 in a transaction still open when a walk-around of it begins.

    What each returned or raised, and the trailers that the walk-around saw it mounted on, look by look.
    """
    now, vera = clock.now(), person("vera", "administrator", "foreman")
    moved = CoolingUnitDetails.objects.get(unit__number="CU-45")
    begin, looked, seen = Barrier(2), Event(), []
    looking = combination_of

    def look(units: Iterable[UUID], at: datetime) -> Combination:
        found = looking(units, at)
        seen.append({str(Unit.objects.get(pk=trailer)) for trailer, _ in found.mounted})
        looked.set()
        return found

    monkeypatch.setattr(context, "combination_of", look)

    def remount() -> None:
        with transaction.atomic():
            for number in ("LR-45", "LR-47"):
                standing = Mounting.objects.get(trailer__unit__number=number, span__upper_inf=True)
                dismount(mounting_id=standing.pk, ended_at=now, actor=vera, now=now)
            trailer = Unit.objects.get(number="LR-47", owner="").pk
            mount(trailer_id=trailer, cooling_unit_id=moved.pk, started_at=now, actor=vera, now=clock.now())
            begin.wait(20)
            looked.wait(0.7)  # with the lock it never looks before this is committed

    def walk() -> Any:
        begin.wait(20)
        return hand_in("iris", body([{"unit": "CU-45"}], finished_at=clock.now()))

    return together(remount, walk), seen


def test_cooling_unit_mounted_elsewhere_meanwhile__import_uses_the_current_mounting(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The re-mounting holds the locks first; the walk-around waits, sees the new mounting, and locks that trailer."""
    results, seen = remounted_meanwhile(monkeypatch)

    assert [result for result in results if isinstance(result, Exception)] == []
    assert seen == [{"LR-47"}, {"LR-47"}]  # more than was locked, so once more with what stands now
    assert Report.objects.filter(unit__number="CU-45").count() == 1


def test_the_same_without_the_lock__it_looks_at_what_stands_no_more_and_is_lost(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The negative control."""
    monkeypatch.setattr(unit_of_work, "lock_units", read_only)

    results, seen = remounted_meanwhile(monkeypatch)

    assert seen == [{"LR-45"}]
    assert [type(result) for result in results] == [type(None), IntegrityError]
    assert not Report.objects.exists()


def test_one_phone_sends_twice_at_once__stored_once_and_both_told_the_same() -> None:
    now, key = clock.now(), uuid7()
    walk = fault(now)

    results = together(*[lambda: hand_in("iris", walk, key)] * 4)

    assert [result for result in results if isinstance(result, Exception)] == []
    assert sorted(result.replayed for result in results) == [False, True, True, True]
    assert Walkaround.objects.filter(pk=key).count() == 1
    assert Sighting.objects.count() == 1
