"""What a certificate needs before it may be signed, and how far a finding may be lowered without a repair. Pure."""

from defects.rules.points import Point
from defects.rules.severity import rank
from defects.rules.vocabulary import Evidence, Severity, System

BRAKE_WORK = frozenset({"brakes_repair", "brakes_adjust"})


def evidence_for(point: Point | None) -> Evidence:
    """What proves a repair at a point; a fault told in free text is proven by a photo."""
    return Evidence.PHOTO if point is None else point.evidence


def may_be_dismissed(severity: str, regulation_severity: str, *, measured_within: bool) -> bool:
    """Whether repair may be called unnecessary for now (396.11(a)(3)(ii)).

    Never while the finding says do not move. A finding past a regulation's limit that keeps the unit from being used
    may not be dismissed without a new measurement within the limit: nothing but that or a repair lowers it.
    """
    if severity == Severity.DO_NOT_MOVE:
        return False
    past_regulation = bool(regulation_severity) and rank(regulation_severity) >= rank(Severity.BEFORE_NEXT_USE)
    return measured_within or not past_regulation


def may_be_graded(severity: str, regulation_severity: str, *, measured_within: bool) -> bool:
    """Whether a foreman may give that severity: raising is free, a regulation's grade is the floor.

    A new measurement within the regulation's limit takes the floor away.
    """
    return measured_within or not regulation_severity or rank(severity) >= rank(regulation_severity)


def brake_scopes(point: Point | None, *, counts_as_service_brake: bool) -> frozenset[str]:
    """The qualifications of which one is needed to certify a repair of the brakes (396.25); none for other work.

    The air supply is part of the brakes (49 CFR part 393, subpart C).
    """
    of_brakes = point is not None and point.system in {System.BRAKES, System.AIR_SUPPLY}
    return BRAKE_WORK if of_brakes or counts_as_service_brake else frozenset()
