"""Whether a value measured after a repair lies within the limits that the fault had failed. Pure."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from defects.enums import Evidence, Severity
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.facts import Conditions, UnitFacts
from defects.rules.catalogue.limits import compare
from defects.rules.catalogue.places import axle_of
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.answers import usable_value
from defects.rules.walkarounds.verdicts import Flag


@dataclass(frozen=True, slots=True)
class Fault:
    """What was found: the point, the place, and where it was measured the value, the limit's id and its figure."""

    point: Point | None
    place: str
    value: Decimal | None = None
    limit: str = ""
    limit_value: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Remeasured:
    """How a value stands: what makes it unusable, else the figure of the limit it still fails.

    `unknown`: no limit can be said to apply, so that nothing shows the value to be right.
    """

    query: Flag | None = None
    failed: Decimal | None = None
    unknown: bool = False

    @property
    def within(self) -> bool:
        """Whether the value shows the repair to hold."""
        return self.query is None and self.failed is None and not self.unknown


def must_be_measured(fault: Fault) -> bool:
    """Whether a repair of the fault is shown by a measurement and by nothing less.

    A fault that was measured is measured again; so is one at a point whose evidence is a measurement.
    """
    point = fault.point
    return (
        point is not None
        and point.measure is not None
        and (fault.value is not None or point.evidence is Evidence.MEASUREMENT)
    )


def remeasure(fault: Fault, value: Decimal, unit_of_measure: str, unit: UnitFacts, on: date) -> Remeasured:
    """Compare a value with the limit that was failed, at its figure then, and with every limit that applies that day.

    A watch does not count: it only says when to look again.

    The surroundings of the walk (load, rain, trip) are gone by then: a limit that hangs on them counts only as the
    one that was failed. ValueError for a fault without a point.
    """
    if fault.point is None:
        msg = "a fault without a point has no limits"
        raise ValueError(msg)
    _, query = usable_value(fault.point, value, unit_of_measure)
    if query is not None:
        return Remeasured(query)
    situation = Situation(unit, Conditions(), fault.place, axle_of(fault.place, fault.point, unit))
    comparison = compare(fault.point, value, situation, on)
    own = _own_limit(fault, value, situation, on)
    past = (compared for compared in comparison.failed if compared.limit.severity is not Severity.WATCH)
    failed = [own] if own is not None else [compared.figure for compared in past]
    if failed:
        return Remeasured(failed=failed[0])
    return Remeasured(unknown=comparison.unknown and fault.limit_value is None)


def _own_limit(fault: Fault, value: Decimal, situation: Situation, on: date) -> Decimal | None:
    """The figure of the limit that was failed, if the value fails it still, whatever the surroundings were then."""
    limit = None if fault.point is None else fault.point.limit(fault.limit)
    if fault.point is None or limit is None or fault.limit_value is None:
        return None
    figure = None if limit.value is None and limit.share is None else fault.limit_value
    alone = replace(limit, when={}, value=figure, share=None, effective_from=None, effective_until=None)
    failed = compare(replace(fault.point, limits=(alone,)), value, situation, on).failed
    return failed[0].figure if failed else None
