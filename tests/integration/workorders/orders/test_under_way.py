"""What clearance is told of the shop's work: exactly the tasks that are started or paused, whichever way they went."""

import datetime as dt
import json
from collections.abc import Callable
from itertools import product

import pytest
from django.db import transaction

from common.errors import Conflict, DomainError, NotAllowed
from common.transitions import SYSTEM
from defects.enums import DefectState
from defects.models import Defect, WorkInProgress
from defects.services.records.signatures import Signing
from defects.signals import defects_certified, defects_withdrawn
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import HistoryEntry, Person, Signature, Unit
from fleet.services.records.unit_of_work import unit_of_work
from tests.factories.fleet import NOON, history_of, make_bare_unit, make_recipient
from tests.factories.workorders import make_certificate, make_defect, make_foreman, make_mechanic, make_order, task_of
from tests.support.refusals import refused
from workorders.enums import OrderState, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.services.orders.assigning import assign_order, assign_task
from workorders.services.orders.ending import cancel_order
from workorders.services.orders.expected_time import set_expected_time
from workorders.services.outside_work import OutsideWork, TaskDone, record_outside_repair
from workorders.services.tasks.tasks import (
    Completion,
    cancel_task,
    finish_task,
    mark_not_reproduced,
    pause_task,
    start_task,
)
from workorders.transitions import TASK_TABLE

pytestmark = pytest.mark.django_db

LATER = NOON + dt.timedelta(hours=4)
UNDONE = "belt guard to be painted"


class Shop:
    """One order with one task for a defect, given to a mechanic and worked on as the foreman."""

    def __init__(self) -> None:
        self.foreman, self.mechanic = make_foreman(), make_mechanic()
        self.unit: Unit = make_bare_unit()
        self.defect: Defect = make_defect(self.unit, make_recipient("Ada Brisk"))
        self.order: RepairOrder = make_order(self.defect)
        assign_order(
            order=self.order.pk, version=1, assigned_to=self.mechanic.pk, site=None, actor=self.foreman, now=NOON
        )

    @property
    def task(self) -> RepairTask:
        return task_of(self.defect)

    @property
    def version(self) -> int:
        return RepairOrder.objects.get(pk=self.order.pk).version

    def signed(self, by: Person | None = None) -> Signing:
        return Signing(by or self.foreman, SignatureMethod.TYPED, NOON, "The unit is fit to move with this undone.")

    def on_task(self, service: Callable[..., object], **given: object) -> None:
        service(task=self.task.pk, version=self.task.version, actor=self.foreman, now=NOON, **given)

    def announce(self, signal: object, **given: object) -> None:
        with unit_of_work([self.unit.pk], actor=self.foreman, now=NOON) as work:
            signal.send(Unit, work=work, **given)  # type: ignore[attr-defined]

    def certify(self) -> None:
        self.announce(defects_certified, certificates=[make_certificate(self.defect, self.foreman)])

    def withdraw(self) -> None:
        Defect.objects.filter(pk=self.defect.pk).update(state=DefectState.ENTERED_IN_ERROR)
        self.announce(defects_withdrawn, defects=[Defect.objects.get(pk=self.defect.pk)])

    def repair_outside(self) -> None:
        done = OutsideWork("Quint", "Bo", "exit 12", "lamp", NOON, [TaskDone(self.task.pk, "lamp changed")])
        record_outside_repair(order=self.order.pk, repair=done, actor=self.foreman, now=NOON)

    def drop(self) -> None:
        Defect.objects.filter(pk=self.defect.pk).update(state=DefectState.CLOSED)
        self.on_task(cancel_task, reason="twice")


MOVES: dict[str, Callable[[Shop], object]] = {
    "assign": lambda shop: shop.on_task(assign_task, lead=shop.mechanic.pk, helpers=()),
    "start": lambda shop: shop.on_task(start_task),
    "pause": lambda shop: shop.on_task(pause_task, undone=UNDONE, signing=shop.signed()),
    "finish": lambda shop: shop.on_task(finish_task, completion=Completion("wear", "lamp changed")),
    "not_reproduced": lambda shop: shop.on_task(mark_not_reproduced, conditions="rain", road_test_at=LATER),
    "cancel": Shop.drop,
    "done_outside": Shop.repair_outside,
    "certified": Shop.certify,
    "withdrawn": Shop.withdraw,
    "cancel_with_order": lambda shop: cancel_order(
        order=shop.order.pk, version=shop.version, reason="sold", actor=shop.foreman, now=NOON
    ),
}
WAYS: dict[str, list[str]] = {
    "open": [],
    "started": ["start"],
    "paused": ["start", "pause"],
    "not_reproduced": ["start", "not_reproduced"],
    "done": ["start", "finish"],
    "cancelled": ["cancel"],
}


def told() -> dict[object, str]:
    return dict(WorkInProgress.objects.values_list("task_id", "undone"))


def under_way() -> dict[object, str]:
    tasks = RepairTask.objects.filter(state__in=(TaskState.STARTED, TaskState.PAUSED))
    return dict(tasks.values_list("pk", "undone"))


def test_ways__reach_every_state_by_every_action_of_the_table() -> None:
    assert MOVES.keys() == set(TASK_TABLE.actions)
    assert WAYS.keys() == set(TASK_TABLE.states)


@pytest.mark.usefixtures("carrier")
@pytest.mark.parametrize(("state", "action"), list(product(WAYS, MOVES)))
def test_every_move_from_every_state__told_as_it_is(state: str, action: str) -> None:
    shop = Shop()
    for step in WAYS[state]:
        MOVES[step](shop)
        assert told() == under_way()
    assert shop.task.state == state
    allowed = action in TASK_TABLE.allowed_actions(state, {"foreman", SYSTEM})
    try:
        with transaction.atomic():
            MOVES[action](shop)
    except DomainError:
        assert not allowed
    assert told() == under_way()
    assert bool(told()) is (shop.task.state in {"started", "paused"})


@pytest.mark.usefixtures("carrier")
def test_work_begun__shown_with_its_order_and_expected_time_and_when_that_moves() -> None:
    shop = Shop()
    set_expected_time(
        order=shop.order.pk, version=shop.version, expected_at=LATER, reason="", actor=shop.foreman, now=NOON
    )
    MOVES["start"](shop)
    work = WorkInProgress.objects.get()
    assert (work.unit, work.order_number, work.what, work.since, work.expected_at) == (
        shop.unit,
        shop.order.number,
        shop.task.complaint,
        NOON,
        LATER,
    )
    later = LATER + dt.timedelta(hours=2)
    set_expected_time(
        order=shop.order.pk, version=shop.version, expected_at=later, reason="", actor=shop.foreman, now=NOON
    )
    work.refresh_from_db()
    assert work.expected_at == later


# Paused as fit to move


@pytest.mark.usefixtures("carrier")
def test_paused__signed_with_what_is_undone_and_on_record_until_it_goes_on() -> None:
    shop = Shop()
    MOVES["start"](shop)
    MOVES["pause"](shop)
    task, signature = shop.task, Signature.objects.get(purpose=SignaturePurpose.WORK_PAUSED)
    assert (task.state, task.undone, task.pause_signature) == (TaskState.PAUSED, UNDONE, signature)
    assert (signature.signer, signature.shown) == (shop.foreman, "The unit is fit to move with this undone.")
    entry = HistoryEntry.objects.get(kind="repair_task_paused")
    body = json.loads(entry.content.body)
    assert (entry.unit_id, body["undone"], body["name"]) == (shop.unit.pk, UNDONE, shop.foreman.name)
    assert RepairOrder.objects.get().state == OrderState.IN_PROGRESS

    MOVES["start"](shop)
    task = shop.task
    assert (task.state, task.undone, task.pause_signature) == (TaskState.STARTED, "", None)
    assert Signature.objects.filter(pk=signature.pk).exists()


@pytest.mark.usefixtures("carrier")
def test_pausing__the_foremans_or_the_orders_leads_and_nobody_elses() -> None:
    shop = Shop()
    MOVES["start"](shop)
    other = make_mechanic("Bea Lorn")

    def pause(by: Person, signing: Signing) -> None:
        with transaction.atomic():
            pause_task(task=shop.task.pk, version=shop.task.version, undone=UNDONE, signing=signing, actor=by, now=NOON)

    with refused(NotAllowed, "not_the_orders_lead"):
        pause(other, shop.signed(other))
    with refused(NotAllowed, "sign_yourself"):
        pause(shop.foreman, shop.signed(shop.mechanic))
    assert "repair_task_paused" not in history_of(shop.unit)
    pause(shop.mechanic, shop.signed(shop.mechanic))
    assert shop.task.state == TaskState.PAUSED
    with pytest.raises(Conflict):
        pause(shop.mechanic, shop.signed(shop.mechanic))
