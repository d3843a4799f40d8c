"""What is measured when a fault has been repaired: the value before where it is known, and the one after."""

from datetime import datetime

from common.clock import refuse_early, refuse_future
from common.errors import Invalid
from common.measures import number
from defects.models import Defect, Measurement
from defects.services.defects.evidence import last_found_at
from defects.services.records.measurements import (
    Measured,
    is_measured,
    measured_before,
    record_measurement,
    refuse_past_limit,
)
from fleet.models import Person
from fleet.selectors.carrier.carrier import carriers_day
from workorders.models import RepairTask
from workorders.selectors.orders.complaints import catalogue_judging


def measure_repair(
    task: RepairTask,
    *,
    before: Measured | None,
    after: Measured | None,
    person: Person,
    now: datetime,
    pointer: str = "",
) -> dict[str, object]:
    """Set what was measured before and after on a task (unsaved); what of it the history is to say.

    The value before is the one that the fault was found by, unless another is given. Invalid `measurement_missing`
    for a fault that was measured, `measurement_not_asked` for work without a fault, `instant_in_future`; the one after
    shows the repair only if it is later than when the fault was last found and the task begun: `measured_before_found`,
    `measured_before_start`.
    """
    for given, place in ((before, f"{pointer}/before"), (after, f"{pointer}/after")):
        if given is not None:
            refuse_future(given.measured_at, now, f"{place}/measured_at")
            if task.defect is None:
                raise Invalid("measurement_not_asked", pointer=place)
            refuse_early(given.measured_at, task.defect.unit.known_from, f"{place}/measured_at")
    if task.defect is None:
        return {}
    catalogue = catalogue_judging(now=now)
    if after is None and is_measured(task.defect, catalogue):
        raise Invalid("measurement_missing", pointer=f"{pointer}/after")
    if after is not None:
        _refuse_early(task, task.defect, after, f"{pointer}/after/measured_at")
        refuse_past_limit(task.defect, after, catalogue, carriers_day(now), f"{pointer}/after")
    task.before = (
        measured_before(task.defect)
        if before is None
        else record_measurement(task.defect, before, person=person.pk, task=task.pk)
    )
    task.after = None if after is None else record_measurement(task.defect, after, person=person.pk, task=task.pk)
    return {"before": _said(task.before), "after": _said(task.after)}


def _refuse_early(task: RepairTask, defect: Defect, after: Measured, place: str) -> None:
    found_at = last_found_at(defect)
    if after.measured_at <= found_at:
        raise Invalid("measured_before_found", pointer=place, found_at=found_at)
    if task.started_at is not None and after.measured_at < task.started_at:
        raise Invalid("measured_before_start", pointer=place, started_at=task.started_at)


def _said(measurement: Measurement | None) -> str | None:
    return None if measurement is None else f"{number(measurement.value)} {measurement.unit_of_measure}"
