"""What a certificate needs before it may be signed, which measured value shows a repair, how far a grade is lowered."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from defects.enums import FREIGHT, Evidence, Severity, bars_rank, rank
from defects.rules.catalogue.closed_sets import Method, System, Who
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.limits import compare
from defects.rules.catalogue.observed import Conditions, Observer, UnitFacts
from defects.rules.catalogue.places import axle_of
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.grading import usable_value
from defects.rules.walkarounds.verdicts import Flag
from fleet.enums import Role, Scope

BRAKE_WORK = frozenset({"brakes_repair", "brakes_adjust"})
_ON_BRAKES = re.compile(r"(?<!\d)393\.(4\d|5[0-5])(?!\d)")
"""49 CFR part 393, subpart C, brakes: sections 393.40 to 393.55."""


SCOPES_OF_SYSTEM: Mapping[System, tuple[Scope | None, Scope]] = {
    System.BRAKES: (Scope.BRAKES_INSPECT, Scope.BRAKES_REPAIR),
    System.AIR_SUPPLY: (None, Scope.BRAKES_REPAIR),
    System.COOLING_CIRCUIT: (Scope.REFRIGERANT, Scope.REFRIGERANT),
    System.COOLING_POWER: (Scope.COOLING_UNIT, Scope.COOLING_UNIT),
    System.TIRES: (None, Scope.TIRES),
    System.WHEELS: (None, Scope.TIRES),
}
"""To judge, where a mechanic's role alone does not do, and to repair; a system that is not here asks for nothing.

The air supply is part of the brakes (49 CFR part 393, subpart C), so its repair asks for the same people.
"""


def scope_to_judge(system: System) -> Scope | None:
    """What judging a fault of a system asks for."""
    return SCOPES_OF_SYSTEM.get(system, (None, None))[0]


def scope_to_repair(system: System) -> Scope | None:
    """What repairing a fault of a system asks for."""
    return SCOPES_OF_SYSTEM.get(system, (None, None))[1]


WALKS = frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN})
"""Whose word counts at a point that is no mechanic's."""

TRIED_OUT = frozenset({Method.OPERATE, Method.ROAD_TEST, Method.TIMED_TEST, Method.FEEL, Method.LISTEN})
"""What no picture shows."""


def evidence_for(point: Point | None, *, grave: bool) -> Evidence:
    """What proves a repair at a point; a fault told in free text is proven by a photo.

    A `grave` fault, one that says or said do not move, is never proven by a sentence alone: where the point asks no
    more, by the test repeated, or by a photo where there is something to be seen or a driver puts it right.
    """
    if point is None:
        return Evidence.PHOTO
    if point.evidence is not Evidence.STATEMENT or not grave:
        return point.evidence
    return Evidence.REPEATED_TEST if point.method in TRIED_OUT and not point.correctable else Evidence.PHOTO


def word_counts(point: Point | None, observer: Observer) -> bool:
    """Whether a person's word that all is well counts at a point, as on a walk-around."""
    if point is None or point.who is not Who.MECHANIC:
        return not WALKS.isdisjoint(observer.roles)
    return observer.qualified or (point.for_trained_drivers and observer.trained)


@dataclass(frozen=True, slots=True)
class GradedFinding:
    """How a finding stands: its present grade, and the grade that a regulation gives it (empty: none does)."""

    severity: str
    bars: str
    regulation_severity: str

    @property
    def bars_freight_by_regulation(self) -> bool:
        """Whether it is a regulation that keeps new cold freight, or food, off."""
        return bool(self.regulation_severity) and self.bars in FREIGHT


def may_be_dismissed(finding: GradedFinding, *, measured_within: bool) -> bool:
    """Whether repair may be called unnecessary for now (396.11(a)(3)(ii)).

    Never while the finding says do not move. One past a regulation's limit that keeps the unit from being used, or
    freight off it, may not be dismissed without a new measurement within the limit: nothing but that or a repair
    lowers it.
    """
    if finding.severity == Severity.DO_NOT_MOVE:
        return False
    floor = finding.regulation_severity
    stops_use = bool(floor) and rank(floor) >= rank(Severity.BEFORE_NEXT_USE)
    return measured_within or not (stops_use or finding.bars_freight_by_regulation)


def may_be_graded(finding: GradedFinding, severity: str, bars: str, *, measured_within: bool) -> bool:
    """Whether a foreman may give that grade: raising is free, a regulation's grade is the floor.

    A new measurement within the regulation's limit takes the floor away.
    """
    if measured_within or not finding.regulation_severity:
        return True
    keeps_freight_off = not finding.bars_freight_by_regulation or bars_rank(bars) >= bars_rank(finding.bars)
    return keeps_freight_off and rank(severity) >= rank(finding.regulation_severity)


def system_of(point: Point | None, source: str) -> System | None:
    """The system that a fault is of: its point's, or without one the brakes where its source is a section on brakes."""
    if point is not None:
        return point.system
    return System.BRAKES if _ON_BRAKES.search(source) else None


def brake_scopes(system: System | None, *, counts_as_service_brake: bool) -> frozenset[str]:
    """The qualifications of which one is needed to certify a repair of the brakes (396.25); none for other work.

    The air supply is part of the brakes (49 CFR part 393, subpart C).
    """
    of_brakes = system in {System.BRAKES, System.AIR_SUPPLY}
    return BRAKE_WORK if of_brakes or counts_as_service_brake else frozenset()


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

    flag: Flag | None = None
    failed: Decimal | None = None
    unknown: bool = False

    @property
    def within(self) -> bool:
        """Whether the value shows the repair to hold."""
        return self.flag is None and self.failed is None and not self.unknown


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
    _, flag = usable_value(fault.point, value, unit_of_measure)
    if flag is not None:
        return Remeasured(flag)
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
