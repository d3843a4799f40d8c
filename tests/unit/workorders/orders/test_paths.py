"""A search over the product of the three tables: no path closes an order over an unrepaired defect, none gets stuck."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import pytest

from common.transitions import SYSTEM
from defects.transitions import DEFECTS
from fleet.enums import Role
from workorders.enums import ACTIVE_TASK_STATES
from workorders.rules import orders as rules
from workorders.rules.orders import REPAIRED_DEFECTS, TaskFact, all_settled, is_deferred, next_move, nothing_left
from workorders.services.orders.settling import EVENTS
from workorders.transitions import ORDER_TABLE, TASK_TABLE

PEOPLE = frozenset(Role)
OPEN_DEFECTS = {"reported", "in_repair", "deferred"}
ENDED = {"closed", "cancelled"}
GIVEN = dict.fromkeys(
    [
        "assigned_to",
        "waiting_for",
        "reason",
        "expected_at",
        "lead",
        "cause",
        "correction",
        "conditions",
        "road_test_at",
        "undone",
        "statement",
        "signature",
        "severity",
        "bars",
        "authority",
    ],
    "x",
)


@dataclass(frozen=True)
class Job:
    """A task and its defect; `put_off` while a certificate that repair is unnecessary stands."""

    task: str = "open"
    defect: str = "reported"
    put_off: bool = False


@dataclass(frozen=True)
class World:
    order: str = "open"
    jobs: tuple[Job, ...] = (Job(), Job())

    @property
    def facts(self) -> list[TaskFact]:
        return [TaskFact(job.task, job.defect) for job in self.jobs]


def steps(world: World) -> Iterator[tuple[str, World]]:
    """Everything that anybody, or the service itself, may do next, with what follows from it."""
    yield from by_order(world)
    for place, job in enumerate(world.jobs):
        for name, changed, moves, order in by_job(world, job):
            jobs = (*world.jobs[:place], changed, *world.jobs[place + 1 :])
            yield f"{name} {place}", settled(replace(world, order=order, jobs=jobs), moves)


def by_order(world: World) -> Iterator[tuple[str, World]]:
    for action in ORDER_TABLE.allowed_actions(world.order, PEOPLE):
        target = ORDER_TABLE.resolve(action, world.order, PEOPLE, GIVEN).target
        if action == "close" and not rules.may_close(world.facts):
            continue
        if action == "work_done" and not all_settled(world.facts):
            continue
        if action == "cancel":
            if any(job.task != "cancelled" and is_deferred(job.defect, certificate(job)) for job in world.jobs):
                continue
            if any(job.task == "started" for job in world.jobs):
                continue
            yield action, World(target, tuple(called_off(job) for job in world.jobs))
            continue
        yield action, replace(world, order=target)
    yield "join", replace(world, order=ORDER_TABLE.resolve("take_more_work", world.order, {SYSTEM}).target)


def certificate(job: Job) -> str | None:
    return "repair_unnecessary" if job.put_off else None


def called_off(job: Job) -> Job:
    """A job of a cancelled order; the defect of a task cancelled before is on the order no more."""
    if job.task == "cancelled":
        return job
    task = "cancelled" if job.task in ACTIVE_TASK_STATES else job.task
    return replace(job, task=task, defect="reported" if job.defect == "in_repair" else job.defect)


def by_job(world: World, job: Job) -> Iterator[tuple[str, Job, tuple[str, ...], str]]:
    yield from by_task(world, job)
    every = tuple(EVENTS)
    for action in DEFECTS.allowed_actions(job.defect, {*PEOPLE, SYSTEM} - {"start_repair"}):
        if action in {"start_repair", "put_back", "put_back_deferred"}:
            continue  # these follow from the shop's own moves, above
        defect = DEFECTS.resolve(action, job.defect, {*PEOPLE, SYSTEM}, GIVEN).target
        put_off = job.put_off
        task, order = job.task, world.order
        if action in {"certify_repaired", "enter_in_error"}:
            put_off = False
            if task in ACTIVE_TASK_STATES:
                task = TASK_TABLE.resolve(
                    "certified" if action == "certify_repaired" else "withdrawn", task, {SYSTEM}, GIVEN
                ).target
        elif action == "certify_unnecessary":
            put_off = True
        elif action == "end_deferral":
            if not put_off:
                continue
            put_off = False
        elif action == "reopen" and job.defect == "certified":
            put_off = False
            task, order = "open", ORDER_TABLE.resolve("take_more_work", order, {SYSTEM}).target
        yield action, Job(task, defect, put_off), every, order


def by_task(world: World, job: Job) -> Iterator[tuple[str, Job, tuple[str, ...], str]]:
    for action in TASK_TABLE.allowed_actions(job.task, PEOPLE):
        target = TASK_TABLE.resolve(action, job.task, PEOPLE, GIVEN).target
        if action == "start":
            if world.order not in {"assigned", "in_progress", "waiting"} or job.defect in REPAIRED_DEFECTS:
                continue
            yield action, replace(job, task=target, defect="in_repair"), (), "in_progress"
        elif action == "cancel":
            if job.defect in REPAIRED_DEFECTS:
                yield action, replace(job, task=target), tuple(EVENTS), world.order
        else:
            yield action, replace(job, task=target), ("wait_for_road_test",), world.order
    if job.task in ACTIVE_TASK_STATES and job.defect in OPEN_DEFECTS:
        yield "done_outside", replace(job, task="done", defect="in_repair"), tuple(EVENTS), world.order


def settled(world: World, moves: tuple[str, ...]) -> World:
    while (action := next_move(world.order, world.facts, moves)) is not None:
        world = replace(world, order=ORDER_TABLE.resolve(action, world.order, {SYSTEM}).target)
    return world


Worlds = dict[World, list[tuple[str, World]]]


def explore(start: World) -> Worlds:
    """Every world that can be reached while the order stands, with its steps; ended ones have none."""
    found: Worlds = {}
    waiting = [start]
    while waiting:
        world = waiting.pop()
        if world in found:
            continue
        found[world] = [] if world.order in ENDED else list(steps(world))
        waiting += [after for _, after in found[world]]
    return found


def faults(worlds: Worlds) -> list[World]:
    """Closed orders over an open defect, and cancelled ones that keep one in repair or put off."""
    return [
        world
        for world in worlds
        if (
            world.order == "closed" and any(job.defect in OPEN_DEFECTS for job in world.jobs if job.task != "cancelled")
        )
        or (world.order == "cancelled" and any(job.defect in {"in_repair", "deferred"} for job in world.jobs))
    ]


@pytest.fixture(scope="module")
def worlds() -> Worlds:
    return explore(World())


def test_every_path__closes_no_unrepaired_defect_and_leaves_none_on_a_cancelled(worlds: Worlds) -> None:
    assert len(worlds) > 500
    assert {world.order for world in worlds} == set(ORDER_TABLE.states)
    assert faults(worlds) == []


def test_every_path__can_still_end(worlds: Worlds) -> None:
    ending = {world for world in worlds if world.order in ENDED}
    while True:
        more = {world for world, led in worlds.items() if world not in ending and any(to in ending for _, to in led)}
        if not more:
            break
        ending |= more
    assert set(worlds) - ending == set()


def test_search__sees_what_a_weaker_rule_would_let_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """The control: with the rule of closing taken out, the search finds closed orders over open defects."""
    of_one_job = World(jobs=(Job(),))
    assert faults(explore(of_one_job)) == []
    monkeypatch.setattr(rules, "may_close", all_settled)
    assert any(world.order == "closed" for world in faults(explore(of_one_job)))


def test_order_without_tasks_left__is_cancelled_by_itself() -> None:
    assert settled(World("open", (Job("cancelled", "entered_in_error"),)), tuple(EVENTS)).order == "cancelled"
    assert nothing_left([TaskFact("cancelled", "entered_in_error")])
