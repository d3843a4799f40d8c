"""What the tables allow and the rules refuse nevertheless: unrepaired, deferred, unqualified, unmeasured, past."""

import datetime as dt
from itertools import product

import pytest

from common.errors import Conflict, DomainError, Invalid, NotAllowed, NotFound, PreconditionFailed
from common.ids import uuid7
from defects.enums import CertificateKind, DefectState
from defects.models import Defect
from fleet.enums import Role, Scope
from fleet.models import HistoryEntry, Person
from tests.factories.fleet import NOON, make_bare_unit, make_recipient, qualify
from tests.factories.workorders import (
    make_certificate,
    make_defect,
    make_mechanic,
    make_order,
    make_stroke_defect,
    set_task,
    task_of,
)
from tests.support.refusals import refused
from workorders.enums import OrderState, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.services.labor import stop_labor
from workorders.services.orders.assigning import assign_order, assign_task
from workorders.services.orders.ending import cancel_order, close_order
from workorders.services.orders.expected_time import set_expected_time
from workorders.services.orders.progress import mark_work_done, start_order
from workorders.services.tasks.tasks import Completion, cancel_task, finish_task, start_task

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("carrier")]


def version(row: RepairOrder | RepairTask) -> int:
    row.refresh_from_db()
    return row.version


@pytest.mark.parametrize(("task", "defect"), list(product(TaskState, DefectState)))
def test_close__only_when_every_task_is_done_and_every_defect_repaired(
    task: TaskState, defect: DefectState, driver: Person, foreman: Person
) -> None:
    unit = make_bare_unit()
    asked, other = make_defect(unit, driver), make_defect(unit, driver)
    order = make_order(asked, other, state=OrderState.WORK_DONE)
    set_task(other, TaskState.DONE)
    set_task(asked, task)
    Defect.objects.filter(pk=other.pk).update(state=DefectState.CLOSED)
    Defect.objects.filter(pk=asked.pk).update(state=defect)
    entries = HistoryEntry.objects.count()

    def close() -> None:
        close_order(order=order.pk, version=order.version, actor=foreman, now=NOON)

    repaired = defect in {DefectState.CERTIFIED, DefectState.CLOSED, DefectState.ENTERED_IN_ERROR}
    if task == TaskState.CANCELLED or (task == TaskState.DONE and repaired):
        close()
        order.refresh_from_db()
        assert (order.state, order.closed_at) == (OrderState.CLOSED, NOON)
        return
    with pytest.raises(Conflict) as refused:
        close()
    assert refused.value.code == "defects_unrepaired"
    assert refused.value.facts["defects"] == ([] if repaired else [asked.number])
    order.refresh_from_db()
    assert (order.state, order.version, HistoryEntry.objects.count()) == (OrderState.WORK_DONE, 1, entries)


def test_cancel__open_defects_are_reported_again_and_certified_ones_stay(driver: Person, foreman: Person) -> None:
    unit = make_bare_unit()
    defects = {state: make_defect(unit, driver) for state in ("reported", "in_repair", "certified")}
    order = make_order(*defects.values(), state=OrderState.IN_PROGRESS)
    for state, defect in defects.items():
        Defect.objects.filter(pk=defect.pk).update(state=state, expected_at=NOON)
    set_task(defects["certified"], TaskState.DONE)

    cancel_order(order=order.pk, version=1, reason="unit goes to its owner", actor=foreman, now=NOON)

    order.refresh_from_db()
    assert (order.state, order.cancel_reason, order.expected_at) == ("cancelled", "unit goes to its owner", None)
    after = {state: Defect.objects.get(pk=defect.pk) for state, defect in defects.items()}
    assert {state: (row.state, row.order_number, row.expected_at) for state, row in after.items()} == {
        "reported": ("reported", None, None),
        "in_repair": ("reported", None, None),
        "certified": ("certified", order.number, NOON),
    }
    assert [task_of(defect).state for defect in defects.values()] == ["cancelled", "cancelled", "done"]


@pytest.mark.parametrize("begun", [False, True])
def test_cancel_with_a_deferred_defect__refused_and_it_stays_on_the_shops_list(
    begun: bool, driver: Person, foreman: Person
) -> None:
    defect = make_defect(make_bare_unit("CU-42"), driver)
    order = make_order(defect, state=OrderState.IN_PROGRESS)
    make_certificate(defect, foreman, kind=CertificateKind.REPAIR_UNNECESSARY)
    if begun:
        Defect.objects.filter(pk=defect.pk).update(state=DefectState.IN_REPAIR)

    with refused(Conflict, "order_has_deferred", defects=[defect.number]):
        cancel_order(order=order.pk, version=1, reason="later", actor=foreman, now=NOON)

    assert task_of(defect).state == TaskState.OPEN


def test_deferred_defect_worked_on__goes_into_repair_and_its_certificate_stands(
    driver: Person, foreman: Person
) -> None:
    defect = make_defect(make_bare_unit("CU-42"), driver)
    make_order(defect, state=OrderState.ASSIGNED)
    certificate = make_certificate(defect, foreman, kind=CertificateKind.REPAIR_UNNECESSARY)

    start_task(task=task_of(defect).pk, version=1, actor=foreman, now=NOON)

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == (DefectState.IN_REPAIR, certificate)


@pytest.mark.parametrize("defect_state", [DefectState.REPORTED, DefectState.IN_REPAIR, DefectState.DEFERRED])
def test_cancel_a_task_over_an_open_defect__refused(defect_state: DefectState, driver: Person, foreman: Person) -> None:
    defect = make_defect(make_bare_unit(), driver)
    make_order(defect)
    Defect.objects.filter(pk=defect.pk).update(state=defect_state)

    with refused(Conflict, "defect_unrepaired"):
        cancel_task(task=task_of(defect).pk, version=1, reason="twice", actor=foreman, now=NOON)

    assert task_of(defect).state == TaskState.OPEN


def test_work_done_while_a_task_stands__refused(driver: Person, foreman: Person) -> None:
    first, second = (make_defect(unit, driver) for unit in [make_bare_unit()] * 2)
    order = make_order(first, second, state=OrderState.IN_PROGRESS)
    set_task(first, TaskState.DONE)

    with refused(Conflict, "work_not_done", tasks=[task_of(second).pk]):
        mark_work_done(order=order.pk, version=1, actor=foreman, now=NOON)


@pytest.mark.parametrize(
    ("scopes", "ends_on", "allowed"),
    [
        ((), None, False),
        ((Scope.BRAKES_INSPECT,), None, False),
        ((Scope.TIRES, Scope.REFRIGERANT), None, False),
        ((Scope.BRAKES_ADJUST,), None, True),
        ((Scope.BRAKES_REPAIR,), None, True),
        ((Scope.BRAKES_REPAIR,), dt.date(2026, 3, 6), True),
        ((Scope.BRAKES_REPAIR,), dt.date(2026, 3, 5), False),
    ],
    ids=str,
)
def test_brake_task__only_to_people_qualified_that_day(
    scopes: tuple[Scope, ...], ends_on: dt.date | None, allowed: bool, driver: Person, foreman: Person
) -> None:
    person = make_mechanic()
    for scope in scopes:
        qualify(person, scope, ends_on=ends_on)
    unit = make_bare_unit()
    stroke = make_stroke_defect(unit, driver)
    order = make_order(stroke)
    task = task_of(stroke)

    def assign_both() -> list[DomainError]:
        found = []
        for assign in (
            lambda: assign_task(task=task.pk, version=1, lead=person.pk, helpers=(), actor=foreman, now=NOON),
            lambda: assign_order(
                order=order.pk, version=version(order), assigned_to=person.pk, site=None, actor=foreman, now=NOON
            ),
        ):
            try:
                assign()
            except DomainError as refused:
                found.append(refused)
        return found

    refusals = assign_both()
    order.refresh_from_db()
    if allowed:
        assert refusals == []
        assert (order.state, order.assigned_to, task_of(stroke).lead) == (OrderState.ASSIGNED, person, person)
        return
    assert [(type(one), one.code, one.problems[0].pointer) for one in refusals] == [
        (Invalid, "not_qualified", "/lead"),
        (Invalid, "not_qualified", "/assigned_to"),
    ]
    assert refusals[0].facts["person"] == "Sam Ruy"
    assert refusals[0].facts["scope"] == "brakes_repair"
    assert (order.state, order.assigned_to, order.version, task_of(stroke).lead) == (OrderState.OPEN, None, 1, None)


def test_order_with_a_brake_and_a_lamp__goes_to_anybody_once_the_brake_has_its_lead(
    driver: Person, foreman: Person, brake_mechanic: Person
) -> None:
    sam, unit = make_mechanic(), make_bare_unit()
    stroke, lamp = make_stroke_defect(unit, driver), make_defect(unit, driver)
    order = make_order(stroke, lamp)
    assign_task(task=task_of(stroke).pk, version=1, lead=brake_mechanic.pk, helpers=(), actor=foreman, now=NOON)

    assign_order(order=order.pk, version=version(order), assigned_to=sam.pk, site=None, actor=foreman, now=NOON)

    order.refresh_from_db()
    assert (order.assigned_to, task_of(stroke).lead, task_of(lamp).lead) == (sam, brake_mechanic, sam)


@pytest.mark.parametrize("role", [Role.DRIVER, Role.DISPATCH])
def test_assigned_to_somebody_not_of_the_shop__refused(role: Role, driver: Person, foreman: Person) -> None:
    order = make_order(make_defect(make_bare_unit(), driver))
    stranger = make_recipient("Dee Moss", roles=(role,))

    with refused(Invalid, "not_of_the_shop"):
        assign_order(order=order.pk, version=1, assigned_to=stranger.pk, site=None, actor=foreman, now=NOON)


def test_start__by_somebody_unqualified_for_all_of_it_refused_for_some_of_it_not(
    driver: Person, brake_mechanic: Person
) -> None:
    sam, unit = make_mechanic(), make_bare_unit()
    stroke = make_stroke_defect(unit, driver)
    order = make_order(stroke, state=OrderState.ASSIGNED, assigned_to=brake_mechanic)
    with refused(NotAllowed, "not_qualified"):
        start_order(order=order.pk, version=1, actor=sam, now=NOON)

    make_order(make_defect(unit, driver))

    assert start_order(order=order.pk, version=version(order), actor=sam, now=NOON).state == "in_progress"


def test_task_of_another__only_a_foreman_speaks_for_it(driver: Person, foreman: Person) -> None:
    greta, sam = make_mechanic("Greta Lind"), make_mechanic()
    defect = make_defect(make_bare_unit(), driver)
    make_order(defect, state=OrderState.IN_PROGRESS)
    set_task(defect, TaskState.STARTED, lead=greta)
    task = task_of(defect).pk

    with refused(NotAllowed, "not_the_lead"):
        finish_task(task=task, version=1, completion=Completion("wear", "changed"), actor=sam, now=NOON)

    finish_task(task=task, version=1, completion=Completion("wear", "changed"), actor=foreman, now=NOON)
    assert list(defect.worked_by.all()) == [greta]


def test_start_of_a_task_while_the_order_is_nobodys__refused(driver: Person) -> None:
    defect = make_defect(make_bare_unit(), driver)
    make_order(defect)

    with refused(Conflict, "action_not_allowed", state="open"):
        start_task(task=task_of(defect).pk, version=1, actor=make_mechanic(), now=NOON)

    defect.refresh_from_db()
    assert (defect.state, task_of(defect).state) == (DefectState.REPORTED, TaskState.OPEN)


def test_expected_time_that_has_passed__refused(driver: Person, foreman: Person) -> None:
    order = make_order(make_defect(make_bare_unit(), driver))
    with refused(Invalid, "expected_in_past"):
        set_expected_time(order=order.pk, version=1, expected_at=NOON, reason="", actor=foreman, now=NOON)


def test_unknown_order_task_and_entry__not_found(foreman: Person) -> None:
    nothing = uuid7()
    for call, code in (
        (lambda: start_order(order=nothing, version=1, actor=foreman, now=NOON), "order_unknown"),
        (lambda: start_task(task=nothing, version=1, actor=foreman, now=NOON), "task_unknown"),
        (lambda: stop_labor(entry=nothing, cause="", actor=foreman, now=NOON), "labor_unknown"),
    ):
        with refused(NotFound, code):
            call()


@pytest.mark.parametrize("seen", [None, 0, 2])
def test_another_version_than_the_present_one__refused(seen: int | None, driver: Person, foreman: Person) -> None:
    defect = make_defect(make_bare_unit(), driver)
    order = make_order(defect)
    with pytest.raises(PreconditionFailed):
        cancel_order(order=order.pk, version=seen, reason="sold", actor=foreman, now=NOON)
    with pytest.raises(PreconditionFailed):
        cancel_task(task=task_of(defect).pk, version=seen, reason="sold", actor=foreman, now=NOON)


@pytest.mark.parametrize("scope", [Scope.PERIODIC_INSPECTION, Scope.BRAKES_INSPECT])
def test_inspection__asks_its_qualification_when_it_is_given_begun_and_finished(
    scope: Scope, driver: Person, brake_mechanic: Person, foreman: Person
) -> None:
    """49 CFR 396.19 for the periodic inspection, 396.25 for brakes; repairing brakes is another qualification."""
    defect = make_defect(make_bare_unit(), driver)
    make_order(defect, state=OrderState.ASSIGNED, assigned_to=brake_mechanic)
    RepairTask.objects.update(scope=scope)
    task, mechanic = task_of(defect).pk, brake_mechanic
    done = Completion("none", "inspected, all passes")

    with pytest.raises(Invalid) as not_given:
        assign_task(task=task, version=1, lead=mechanic.pk, helpers=(), actor=foreman, now=NOON)
    with pytest.raises(NotAllowed) as not_begun:
        start_task(task=task, version=1, actor=mechanic, now=NOON)
    set_task(defect, TaskState.STARTED, lead=mechanic)
    with pytest.raises(NotAllowed) as not_finished:
        finish_task(task=task, version=1, completion=done, actor=mechanic, now=NOON)
    assert {caught.value.code for caught in (not_given, not_begun, not_finished)} == {"not_qualified"}

    qualify(mechanic, scope)
    assert finish_task(task=task, version=1, completion=done, actor=mechanic, now=NOON).state == TaskState.DONE
