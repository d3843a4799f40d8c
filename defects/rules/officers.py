"""What an officer's note of a fault makes of it: never milder than the officer's, and ended by a repair alone."""

from dataclasses import dataclass

from defects.enums import Severity
from defects.rules.severity import worst

SOURCE = "49 CFR 396.9(c)(2), (d)(2)"


@dataclass(frozen=True, slots=True)
class NotedFault:
    """One line of a report: our own grade of the condition where a point describes it, and whether it is an order."""

    own: Severity | None
    out_of_service: bool


def severity_of_noted(fault: NotedFault) -> Severity:
    """What the fault stops: an order says do not move, any other violation is repaired before the next use.

    396.9(c)(2) forbids operating until all repairs on the notice are done; 396.9(d)(2) has violations corrected as
    396.11(a)(3) asks, before the vehicle is used again.
    """
    officers = Severity.DO_NOT_MOVE if fault.out_of_service else Severity.BEFORE_NEXT_USE
    return worst(grade for grade in (officers, fault.own) if grade is not None) or officers
