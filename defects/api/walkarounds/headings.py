"""The headings that stand over what was found on one unit: to be certified, the driver's to put right, and noted."""

from collections.abc import Iterable

from common import messages
from common.api.answers import Answer
from common.messages import Message
from defects.enums import DefectState, Listing, stops_movement
from defects.models import Defect, Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import put_right_of

WAITING = frozenset({DefectState.REPORTED, DefectState.IN_REPAIR})
"""The states of a fault that has no certificate."""


class HeadedAnswer(Answer):
    """Faults that stand open under one heading, named by their defects; the heading is empty over none."""

    says: str
    defects: list[int]


def stops_unit(defect: Defect) -> bool:
    """Whether the driver's own finding will bar the unit when clearance is asked; a deferral is weighed only then."""
    stops = not defect.graded or stops_movement(defect.bars, listed=defect.listing != Listing.NOTED)
    return defect.state in WAITING and stops


def under_headings(
    report: Report, defects: Iterable[Defect], catalogue: Catalogue, language: str
) -> dict[str, HeadedAnswer]:
    """The faults that stand open, each under what must become of it."""
    headed: dict[str, set[int]] = {"to_certify": set(), "to_put_right": set(), "noted": set()}
    for defect in defects:
        if defect.state in WAITING:
            headed[_heading(defect, catalogue)].add(defect.number)
    unit = {"unit": str(report.unit)}
    return {
        name: HeadedAnswer(
            says=messages.render(Message(f"receipt_{name}", unit), language) if numbers else "", defects=sorted(numbers)
        )
        for name, numbers in headed.items()
    }


def _heading(defect: Defect, catalogue: Catalogue) -> str:
    if defect.listing != Listing.NOTED or stops_unit(defect):
        return "to_certify"
    return "to_put_right" if put_right_of(defect.point, catalogue, "en") else "noted"
