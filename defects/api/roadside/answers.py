"""An officer's inspection as it is shown."""

from datetime import date, datetime
from typing import Annotated, Self
from uuid import UUID

from common.api.answers import Answer
from common.api.values import Word
from defects.enums import DefectState, RoadsideState
from defects.models import Hold, RoadsideInspection, RoadsideViolation
from defects.selectors.roadside import roadside_state
from defects.transitions import ROADSIDE_INSPECTIONS
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort


class ViolationAnswer(Answer):
    """One line with the defect it is about."""

    position: int
    unit: UnitShort
    out_of_service: bool
    section: str
    text: str
    point: str
    place: str
    defect: int
    defect_state: Annotated[str, Word(DefectState)]

    @classmethod
    def of_line(cls, line: RoadsideViolation) -> Self:
        """Return a line with what is shown of its defect."""
        defect = line.defect
        return cls.of(line, point=defect.point, place=defect.place, defect=defect.number, defect_state=defect.state)


class OfficersOrderAnswer(Answer):
    """An officer's order on one unit: a hold."""

    hold: int
    unit: UnitShort
    lifted_at: datetime | None

    @classmethod
    def of_hold(cls, hold: Hold) -> Self:
        """Return an order by the number of its hold."""
        return cls.of(hold, hold=hold.number)


class RoadsideAnswer(Answer):
    """One inspection. `orders` stand on the units that they name and on no other."""

    id: UUID
    report_number: str
    state_of_answer: Annotated[str, Word(RoadsideState)]
    inspected_at: datetime
    officer: str
    state: str
    level: int
    units: list[UnitShort]
    violations: list[ViolationAnswer]
    orders: list[OfficersOrderAnswer]
    received_at: datetime
    recorded_by: PersonShort
    answer_due_on: date | None
    answered_at: datetime | None
    answered_by: PersonShort | None
    answer_title: str
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, inspection: RoadsideInspection, roles: frozenset[str]) -> Self:
        """Return an inspection with what somebody of these roles may do with it now."""
        state = roadside_state(inspection)
        return cls.of(
            inspection,
            state_of_answer=state,
            units=list(inspection.units.all()),
            violations=[ViolationAnswer.of_line(line) for line in inspection.violations.all()],
            orders=[OfficersOrderAnswer.of_hold(hold) for hold in inspection.holds.all()],
            allowed_actions=[] if inspection.is_clean else ROADSIDE_INSPECTIONS.allowed_actions(state, roles),
        )
