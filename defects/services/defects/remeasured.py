"""Whether a value measured since shows a fault to be within its limits. Stores nothing."""

from defects.models import Defect, Measurement
from defects.rules.certificates import Fault, remeasure
from defects.selectors.catalogue.catalogue import facts_of_units
from defects.services.defects.locked import point_of
from fleet.services.records.unit_of_work import UnitOfWork


def within_limits(work: UnitOfWork, defect: Defect, measurement: Measurement) -> bool:
    """Whether the day's catalogue finds nothing wrong with a measurement at the defect's point and place."""
    point = point_of(work, defect)
    if point is None or point.measure is None:
        return False
    fault = Fault(point, defect.place, defect.value, defect.limit, defect.limit_value)
    day = work.day(measurement.measured_at)
    facts = facts_of_units([defect.unit_id], at=measurement.measured_at)[defect.unit_id]
    return remeasure(fault, measurement.value, measurement.unit_of_measure, facts, day).within
