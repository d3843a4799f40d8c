"""Two people at once over one unit: the lock keeps them apart. Controls without the lock fail."""

import datetime as dt
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from uuid import UUID

import pytest
from django.db import IntegrityError, connection

from common.errors import DomainError
from defects.enums import DefectState
from defects.models import Defect
from fleet.models import Person, Unit
from fleet.services.records import unit_of_work
from fleet.services.records.unit_of_work import UnitOfWork
from tests.factories.fleet import NOON, make_bare_unit, make_carrier, make_recipient
from tests.factories.workorders import make_defect, make_foreman, make_mechanic, make_order, set_task, task_of
from tests.support.committing import CommittingDatabase
from tests.support.unlocked import read_only
from workorders.enums import LaborRole, OrderState, TaskState
from workorders.models import LaborEntry, RepairOrder, RepairTask
from workorders.rules.orders import may_close
from workorders.services.labor import start_labor
from workorders.services.orders import ending, joining
from workorders.services.orders.ending import close_order
from workorders.services.orders.joining import order_defects

WAIT_S = 10.0
APART_S = 0.7
"""How long the first waits in the middle of its write: with the lock the second cannot come meanwhile."""


@dataclass
class Gate:
    """Holds whoever comes first in the middle of a write until the other has finished, or for a while."""

    other_done: threading.Event = field(default_factory=threading.Event)
    reached: threading.Event = field(default_factory=threading.Event)

    def stop_first(self) -> None:
        if not self.reached.is_set():
            self.reached.set()
            self.other_done.wait(APART_S)


def both(gate: Gate, first: Callable[[], object], second: Callable[[], object]) -> list[Exception]:
    """Run the second while the first stands in the gate; what either raised."""
    raised: list[Exception] = []

    def run(call: Callable[[], object]) -> None:
        try:
            call()
        except (DomainError, IntegrityError) as error:
            raised.append(error)
        finally:
            connection.close()

    def run_second() -> None:
        assert gate.reached.wait(WAIT_S)
        run(second)
        gate.other_done.set()

    threads = [threading.Thread(target=run, args=(first,)), threading.Thread(target=run_second)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT_S)
    assert not any(thread.is_alive() for thread in threads)
    return raised


@pytest.fixture
def unit(committing_db: CommittingDatabase) -> Iterator[Unit]:
    make_carrier()
    yield make_bare_unit()
    connection.close()


@pytest.fixture
def driver(unit: Unit) -> Person:
    return make_recipient("Iris Quade")


def report(defect: Defect) -> None:
    """What the report of a defect does about its order."""
    with unit_of_work.unit_of_work([defect.unit_id], actor=defect.found_by, now=NOON) as work:
        order_defects([defect], work=work)


def stop_after_looking(gate: Gate, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever first looked at what stands on the unit stops there."""
    look = joining._contexts

    def looked(units: set[UUID], seen_at: dt.datetime | None) -> object:
        found = look(units, seen_at)
        gate.stop_first()
        return found

    monkeypatch.setattr(joining, "_contexts", looked)


@pytest.mark.parametrize("standing", [False, True], ids=["opening", "joining"])
def test_two_reports_at_once__one_order_with_both_tasks(
    standing: bool, unit: Unit, driver: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = make_defect(unit, driver), make_defect(unit, driver)
    before = 1
    if standing:
        make_order(make_defect(unit, driver))
        before = 2
    gate = Gate()
    stop_after_looking(gate, monkeypatch)

    raised = both(gate, lambda: report(first), lambda: report(second))

    assert raised == []
    order = RepairOrder.objects.get()
    assert order.version == before + 1
    assert {first.pk, second.pk} <= set(RepairTask.objects.values_list("defect_id", flat=True))
    assert set(Defect.objects.values_list("order_id", "order_number")) == {(order.pk, order.number)}


@pytest.mark.parametrize("standing", [False, True], ids=["opening", "joining"])
def test_two_reports_at_once_without_the_lock__one_is_lost(
    standing: bool, unit: Unit, driver: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control."""
    first, second = make_defect(unit, driver), make_defect(unit, driver)
    if standing:
        make_order(make_defect(unit, driver))
    monkeypatch.setattr(unit_of_work, "lock_units", read_only)
    gate = Gate()
    stop_after_looking(gate, monkeypatch)

    raised = both(gate, lambda: report(first), lambda: report(second))

    assert [type(error) for error in raised] == [IntegrityError]


def closing_against_a_report(unit: Unit, driver: Person, monkeypatch: pytest.MonkeyPatch) -> list[Exception]:
    """A foreman closes an order whose defect is repaired, and stops before saving; a driver reports another one."""
    foreman = make_foreman()
    repaired, found = make_defect(unit, driver), make_defect(unit, driver)
    order = make_order(repaired, state=OrderState.WORK_DONE)
    set_task(repaired, TaskState.DONE)
    Defect.objects.filter(pk=repaired.pk).update(state=DefectState.CERTIFIED)
    gate = Gate()

    def asked(facts: object) -> bool:
        answer = may_close(facts)  # type: ignore[arg-type]  # handed on as it came
        gate.stop_first()
        return answer

    monkeypatch.setattr(ending, "may_close", asked)
    return both(gate, lambda: close_order(order=order.pk, version=1, actor=foreman, now=NOON), lambda: report(found))


def stranded() -> list[RepairTask]:
    """Tasks still to be done on an order that has ended."""
    return list(RepairTask.objects.active().filter(order__state=OrderState.CLOSED))


def test_closing_against_a_report__the_new_defect_has_an_active_order(
    unit: Unit, driver: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    raised = closing_against_a_report(unit, driver, monkeypatch)

    assert raised == []
    assert stranded() == []
    assert sorted(RepairOrder.objects.values_list("state", flat=True)) == ["closed", "open"]


def test_closing_without_the_lock__strands_a_defect_on_a_closed_order(
    unit: Unit, driver: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control. The history, which would notification it too, is left out."""
    monkeypatch.setattr(unit_of_work, "lock_units", read_only)
    monkeypatch.setattr(UnitOfWork, "write", lambda _self: [])

    raised = closing_against_a_report(unit, driver, monkeypatch)

    assert raised == []
    assert len(stranded()) == 1


def test_two_starts_of_one_persons_time_on_two_units__only_one_runs(
    unit: Unit, driver: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Different units, so no lock is shared: the database's own rule keeps them apart, whatever the services saw."""
    sam, other = make_mechanic(), make_bare_unit("LR-45")
    defects = [make_defect(on, driver) for on in (unit, other)]
    for defect in defects:
        make_order(defect, state=OrderState.IN_PROGRESS)
        set_task(defect, TaskState.STARTED)
    gate, create = Gate(), LaborEntry.objects.create

    def created(**fields: object) -> LaborEntry:
        gate.stop_first()
        return create(**fields)

    monkeypatch.setattr(LaborEntry.objects, "create", created)
    tasks = [task_of(defect).pk for defect in defects]

    raised = both(
        gate,
        lambda: start_labor(task=tasks[0], role=LaborRole.LEAD, person=None, actor=sam, now=NOON),
        lambda: start_labor(task=tasks[1], role=LaborRole.LEAD, person=None, actor=sam, now=NOON),
    )

    assert [type(error) for error in raised] == [IntegrityError]
    assert "labor_one_running_for_person" in str(raised[0])
    assert LaborEntry.objects.filter(person=sam).count() == 1
