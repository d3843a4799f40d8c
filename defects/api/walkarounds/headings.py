"""What stands over what was found on one unit: what bars it beside its faults, and the headings of these.

The headings: to be certified, the driver's to put right, and noted.
"""

from collections.abc import Iterable
from typing import Annotated

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.measures import number
from common.messages import Message
from defects.enums import Bars, DefectState, HoldKind, Listing, bars_until_certified
from defects.models import Defect, Hold, LimitedMove, Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import put_right_of, what_of_hold
from defects.selectors.walkarounds.receipts import Receipt
from fleet.enums import UnitKind

WAITING = frozenset({DefectState.REPORTED, DefectState.IN_REPAIR})
"""The states of a fault that has no certificate."""


class HeadedAnswer(Answer):
    """Faults that stand open under one heading, named by their defects; the heading is empty over none."""

    says: str
    defects: list[int]


class BarAnswer(Answer):
    """What keeps a unit from rolling beside its faults: an active hold, or work that the shop has under way."""

    hold: int | None
    order: int | None = Field(description="the repair order of the work, by number")
    bars: Annotated[str, Word(Bars)]
    what: str = Field(description="what the hold is for, or what the shop does")
    says: str


def bars_of(receipt: Receipt, report: Report, holds: Iterable[Hold], language: str) -> list[BarAnswer]:
    """Those of `holds` that are the report's unit's, and the shop's work on it, each with its sentence."""
    bars = []
    for hold in holds:
        if hold.unit_id == report.unit_id:
            what = what_of_hold(hold, receipt.catalogue, language)
            code, miles = _of_move(receipt.permitted.get(hold.unit_id))
            code = "clearance_officers_order" if hold.kind == HoldKind.OFFICER else code
            facts = {"unit": str(report.unit), "hold": hold.number, "what": what, **miles}
            says = messages.render(Message(code, facts), language)
            bars.append(BarAnswer(hold=hold.number, order=None, bars=Bars.MOVEMENT, what=what, says=says))
    for work in receipt.work:
        if report.unit is not None and work.unit_id == report.unit_id:
            cooling = report.unit.kind == UnitKind.COOLING_UNIT
            code = "clearance_cold_work_in_progress" if cooling else "receipt_in_shop"
            facts = {"unit": str(report.unit), "order": work.order_number, "work": work.what}
            says = messages.render(Message(code, facts), language)
            stops = Bars.COLD_FREIGHT if cooling else Bars.MOVEMENT
            bars.append(BarAnswer(hold=None, order=work.order_number, bars=stops, what=work.what, says=says))
    return bars


def _of_move(move: LimitedMove | None) -> tuple[str, dict[str, str]]:
    """The code of a hold's sentence beside a limited move, or none, and the miles that it says."""
    if move is None:
        return "receipt_hold_active", {}
    driven, permitted = move.driven_mi, {"distance_mi": number(move.distance_mi)}  # type: ignore[attr-defined]  # annotated
    if driven is None:
        return "receipt_hold_but_move_unmetered", permitted
    if driven > move.distance_mi:
        return "receipt_hold_move_passed", {**permitted, "driven_mi": number(driven)}
    return "receipt_hold_but_move", {}


def stops_unit(defect: Defect) -> bool:
    """Whether the driver's own finding will bar the unit when clearance is asked; a deferral is weighed only then."""
    return defect.state in WAITING and bars_until_certified(defect.bars, defect.listing) == Bars.MOVEMENT


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
