"""Officers' inspections: recorded with the orders and defects that follow, and answered once all is repaired."""

from defects.services.roadside.answer import answer_roadside_inspection
from defects.services.roadside.record import record_roadside_inspection
from defects.services.roadside.reminders import remind_of_answers
from defects.services.roadside.report import OfficersReport, Violation

__all__ = [
    "OfficersReport",
    "Violation",
    "answer_roadside_inspection",
    "record_roadside_inspection",
    "remind_of_answers",
]
