"""The closed vocabularies of an answer to dispatch. The codes of its reasons stand in `codes`."""

from enum import StrEnum


class Answer(StrEnum):
    """Worst first. None of them says that a vehicle is safe."""

    BARRED = "barred"
    AFTER_DRIVER_STEPS = "after_driver_steps"
    NOTHING_KNOWN_AGAINST = "nothing_known_against"


class ReasonKind(StrEnum):
    """Whether a reason bars, or is the driver's to do away with."""

    BARS = "bars"
    DRIVER_STEP = "driver_step"


class TemperatureClass(StrEnum):
    """What a load needs of the box."""

    FROZEN = "frozen"
    CHILLED = "chilled"
    PROTECT_FROM_FREEZING = "protect_from_freezing"
    DRY = "dry"

    @property
    def is_cold(self) -> bool:
        """Whether the cooling unit must hold a temperature; against frost it does so by heating."""
        return self is not TemperatureClass.DRY


class HoldBy(StrEnum):
    """Who placed a hold: the word alone is never used for an officer's order."""

    CARRIER = "carrier"
    OFFICER = "officer"


class EndsWhen(StrEnum):
    """What makes a reason go away."""

    HOLD_LIFTED = "hold_lifted"
    HOLD_LIFTED_BY_SECOND_PERSON = "hold_lifted_by_second_person"
    ORDER_FULFILLED = "order_fulfilled"
    DEFECT_CERTIFIED = "defect_certified"
    DEFECT_REPAIRED = "defect_repaired"
    DEFECT_GRADED = "defect_graded"
    ANSWERED_AGAIN = "answered_again"
    DOCUMENT_RECORDED = "document_recorded"
    DOCUMENT_REPLACED = "document_replaced"
    SECOND_LOOK = "second_look"
    UNIT_COMPLETED = "unit_completed"
    COOLING_UNIT_ADDED = "cooling_unit_added"
    LIMIT_SHOWN = "limit_shown"
    WORK_DONE = "work_done"
    COLD_WORK_DONE = "cold_work_done"
    WALK_DONE = "walk_done"
    POINTS_ANSWERED = "points_answered"
    REVIEW_SIGNED = "review_signed"
    FUEL_ADDED = "fuel_added"
    UNITS_COUPLED = "units_coupled"
    UNITS_UNCOUPLED = "units_uncoupled"
    SEAL_CHECKED = "seal_checked"
    SEAL_DECIDED = "seal_decided"
    LOAD_DELIVERED = "load_delivered"
    DECISION_RECORDED = "decision_recorded"
    DISPOSITION_SIGNED = "disposition_signed"
    FACT_RECORDED = "fact_recorded"
    RECORD_MENDED = "record_mended"
