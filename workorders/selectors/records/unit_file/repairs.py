"""The sections of repairs (396.3(b)(3)): the shop's orders with tasks and labor, and the work of outside firms."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from django.db.models import Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from defects.models import Measurement
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section
from workorders.messages.orders import ORDER_STATES
from workorders.messages.tasks import TASK_STATES
from workorders.models import LaborEntry, OutsideRepair, RepairOrder, RepairTask


def read_orders(scope: FileScope) -> Iterator[Record]:
    """Every repair order that stood in the days asked for."""
    labor = LaborEntry.objects.select_related("person").order_by("started_at", "pk")
    tasks = (
        RepairTask.objects.select_related("lead", "before", "after", "defect")
        .prefetch_related("helpers", Prefetch("labor", labor))
        .order_by("opened_at", "pk")
    )
    orders = (
        RepairOrder.objects.filter(scope.running("opened_at", "closed_at"), unit=scope.unit)
        .select_related("site", "assigned_to", "opened_by")
        .prefetch_related(Prefetch("tasks", tasks))
    )
    for order in orders.order_by("number").iterator(CHUNK):
        yield {
            "id": order.pk,
            "number": order.number,
            "site": None if order.site is None else order.site.name,
            "state": order.state,
            "waiting_for": order.waiting_for,
            "assigned_to": person_record(order.assigned_to),
            "opened_at": order.opened_at,
            "opened_by": person_record(order.opened_by),
            "expected_at": order.expected_at,
            "work_done_at": order.work_done_at,
            "closed_at": order.closed_at,
            "cancel_reason": order.cancel_reason,
            "tasks": [_task(task) for task in order.tasks.all()],
        }


def _task(task: RepairTask) -> Mapping[str, object]:
    return {
        "id": task.pk,
        "defect": None if task.defect is None else task.defect.number,
        "state": task.state,
        "scope": task.scope,
        "complaint": task.complaint,
        "cause": task.cause,
        "correction": task.correction,
        "conditions": task.conditions,
        "lead": person_record(task.lead),
        "helpers": [person_record(who) for who in sorted(task.helpers.all(), key=lambda who: who.pk)],
        "measured_before": _measured(task.before),
        "measured_after": _measured(task.after),
        "road_test_at": task.road_test_at,
        "cancel_reason": task.cancel_reason,
        "opened_at": task.opened_at,
        "started_at": task.started_at,
        "done_at": task.done_at,
        "labor": [
            {
                "id": entry.pk,
                "person": person_record(entry.person),
                "role": entry.role,
                "started_at": entry.started_at,
                "ended_at": entry.ended_at,
                "pause_cause": entry.pause_cause,
            }
            for entry in task.labor.all()
        ],
    }


def _measured(row: Measurement | None) -> Mapping[str, object] | None:
    if row is None:
        return None
    return {"value": row.value, "unit_of_measure": row.unit_of_measure, "measured_at": row.measured_at}


def order_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """A line for each task: its nature, what was done by whom, and when."""
    head = f"{record['number']}\n{words.label(ORDER_STATES, record['state'])}"
    if not record["tasks"]:
        yield head, words.instant(record["opened_at"]), record["cancel_reason"], "", words.instant(record["closed_at"])
    for task in record["tasks"]:
        people = [task["lead"], *task["helpers"], *(entry["person"] for entry in task["labor"])]
        who = dict.fromkeys(words.person(person) for person in people if person is not None)
        nature = f"{words.instant(task['opened_at'])}\n{task['complaint']}"
        done = words.instant(task["done_at"]) or words.label(TASK_STATES, task["state"])
        yield head, nature, _done(task, words), "\n".join(who), done


def _done(task: Record, words: Words) -> str:
    said = [task["cause"], task["correction"], task["cancel_reason"], task["conditions"]]
    if before := words.measured(task["measured_before"]):
        said.append(_("measured before: {value}").format(value=before))
    if after := words.measured(task["measured_after"]):
        said.append(_("measured afterwards: {value}").format(value=after))
    return "\n".join(filter(None, said))


def read_outside(scope: FileScope) -> Iterator[Record]:
    """Every repair by an outside firm in the days asked for."""
    repairs = (
        OutsideRepair.objects.filter(scope.within("done_at"), order__unit=scope.unit)
        .select_related("order", "worker", "recorded_by")
        .prefetch_related(Prefetch("tasks", RepairTask.objects.order_by("opened_at", "pk")))
    )
    for repair in repairs.order_by("done_at", "pk").iterator(CHUNK):
        yield {
            "id": repair.pk,
            "order": repair.order.number,
            "firm": repair.firm,
            "worker": person_record(repair.worker),
            "place": repair.place,
            "work": repair.work,
            "tasks": [{"id": task.pk, "complaint": task.complaint} for task in repair.tasks.all()],
            "invoice": repair.invoice,
            "cost": repair.cost,
            "currency": repair.currency,
            "photo": repair.photo_sha256,
            "done_at": repair.done_at,
            "recorded_by": person_record(repair.recorded_by),
        }


def outside_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """Which firm did what where, with its invoice."""
    firm = f"{record['firm']}\n{words.person(record['worker'])}"
    cost = " ".join(filter(None, (record["cost"], record["currency"])))
    order = _("repair order {order}").format(order=record["order"])
    yield (
        f"{words.instant(record['done_at'])}\n{record['place']}",
        firm,
        record["work"],
        "\n".join(filter(None, (record["invoice"], cost, order))),
    )


def outside_photos(record: Record) -> Iterable[str]:
    """The photo that proves it."""
    return filter(None, [record["photo"]])


REPAIR_ORDERS = Section(
    name="repair_orders",
    place=40,
    title=gettext_lazy("Repairs by the carrier's shop"),
    source="49 CFR 396.3(b)(3)",
    empty=gettext_lazy("No repair order was open in this period."),
    read=read_orders,
    columns=(
        Column(gettext_lazy("Order"), 0.11),
        Column(gettext_lazy("Opened, kind"), 0.26),
        Column(gettext_lazy("Cause and work"), 0.28),
        Column(gettext_lazy("Work by"), 0.17),
        Column(gettext_lazy("Done"), 0.18),
    ),
    rows=order_rows,
)
OUTSIDE_REPAIRS = Section(
    name="outside_repairs",
    place=50,
    title=gettext_lazy("Repairs by outside firms"),
    source="49 CFR 396.3(b)(3)",
    empty=gettext_lazy("No repair by an outside firm is recorded in these days."),
    read=read_outside,
    columns=(
        Column(gettext_lazy("When and where"), 0.25),
        Column(gettext_lazy("Firm"), 0.25),
        Column(gettext_lazy("Work"), 0.3),
        Column(gettext_lazy("Invoice"), 0.2),
    ),
    rows=outside_rows,
    files=outside_photos,
)
