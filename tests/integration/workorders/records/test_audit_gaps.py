"""Brake work in an audit rehearsal: evidence of the one who led it on that very day, or a gap of that order."""

import datetime as dt

import pytest

from fleet.enums import Scope
from fleet.rules.records.rehearsal import Gap
from fleet.selectors.records.audit_gaps import Audited
from tests.factories.fleet import NOON, make_bare_unit, qualify
from tests.factories.workorders import make_foreman, make_mechanic, make_order, make_stroke_defect, set_task
from workorders.enums import TaskState
from workorders.models import RepairTask
from workorders.selectors.records.audit_gaps import find

pytestmark = pytest.mark.usefixtures("carrier")

DAY = NOON.date()


def gaps_after_brake_work(*, ends_on: dt.date | None, held: bool, lead: bool = True) -> tuple[RepairTask, list[Gap]]:
    """What is found on a unit whose brakes Greta put right at noon."""
    greta = make_mechanic("Greta Lind")
    if held:
        qualify(greta, Scope.BRAKES_REPAIR, ends_on=ends_on)
        qualify(greta, Scope.BRAKES_ADJUST, ends_on=ends_on)
    unit = make_bare_unit()
    defect = make_stroke_defect(unit, make_foreman())
    make_order(defect)
    task = set_task(defect, TaskState.DONE, scope=Scope.BRAKES_REPAIR, done_at=NOON, lead=greta if lead else None)
    return task, list(find(Audited([unit], NOON, DAY, "America/Chicago")))


@pytest.mark.parametrize(("held", "ends_on"), [(False, None), (True, DAY - dt.timedelta(days=1))])
def test_brakes_without_evidence_on_that_day__gap(held: bool, ends_on: dt.date | None) -> None:
    task, [gap] = gaps_after_brake_work(held=held, ends_on=ends_on)
    assert (gap.unit, gap.code, gap.section) == (task.order.unit_id, "gap_brake_evidence_missing", "49 CFR 396.25(e)")
    assert gap.link == f"/api/v1/repair-tasks/{task.pk}"
    assert gap.facts == {"name": "Greta Lind", "order": task.order.number, "day": DAY}


@pytest.mark.parametrize("ends_on", [None, DAY])
def test_evidence_good_on_that_day__no_gap(ends_on: dt.date | None) -> None:
    assert gaps_after_brake_work(held=True, ends_on=ends_on)[1] == []


def test_work_that_no_employee_led__no_gap() -> None:
    assert gaps_after_brake_work(held=False, ends_on=None, lead=False)[1] == []
