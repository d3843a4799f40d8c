"""The closed vocabularies of what the carrier owns: kinds, roles, scopes, states. No behaviour lives here."""

from enum import StrEnum


class UnitKind(StrEnum):
    TRACTOR = "tractor"
    TRAILER = "trailer"
    COOLING_UNIT = "cooling_unit"


class Role(StrEnum):
    DRIVER = "driver"
    MECHANIC = "mechanic"
    FOREMAN = "foreman"
    COMPLIANCE = "compliance"
    DISPATCH = "dispatch"
    ADMINISTRATOR = "administrator"
    TRAINER = "trainer"
    AUDITOR = "auditor"


class UnitState(StrEnum):
    """Of a unit, of ours and of others alike; like every state here it follows from dates and is not stored."""

    IN_SERVICE = "in_service"
    RETIRED = "retired"


class CouplingState(StrEnum):
    COUPLED = "coupled"
    ENDED = "ended"


class MountingState(StrEnum):
    MOUNTED = "mounted"
    ENDED = "ended"


class DocumentRecordState(StrEnum):
    """Whether a later document took its place; how a current one is on a day is `DocumentState` of the rules."""

    CURRENT = "current"
    SUPERSEDED = "superseded"


class PersonState(StrEnum):
    HERE = "here"
    LEFT = "left"


class SiteState(StrEnum):
    OPEN = "open"
    CLOSED = "closed"


class HoldState(StrEnum):
    """Of a legal hold, which freezes a unit's file, and of a hold, which bars the unit itself."""

    ACTIVE = "active"
    LIFTED = "lifted"


class Scope(StrEnum):
    """What a person is qualified for; 396.25 lets a person be qualified for a part of brake work only."""

    BRAKES_INSPECT = "brakes_inspect"
    BRAKES_ADJUST = "brakes_adjust"
    BRAKES_REPAIR = "brakes_repair"
    PERIODIC_INSPECTION = "periodic_inspection"
    REFRIGERANT = "refrigerant"
    COOLING_UNIT = "cooling_unit"
    TIRES = "tires"
    FOOD_DISPOSITION = "food_disposition"
    UNDER_VEHICLE = "under_vehicle"


class AxleRole(StrEnum):
    STEER = "steer"
    DRIVE = "drive"
    TRAILER = "trailer"


class BrakeType(StrEnum):
    DRUM = "drum"
    DISC = "disc"


class BrakeActuator(StrEnum):
    """The tables of 393.47(e) by how a chamber is held together; any other by what its maker marked on it."""

    CLAMP = "clamp"
    BOLT = "bolt"
    ROTOCHAMBER = "rotochamber"
    DD_3 = "dd_3"
    OTHER = "other"


class StrokeClass(StrEnum):
    STANDARD = "standard"
    LONG = "long"
    LONG_3_IN = "long_3_in"


class Lining(StrEnum):
    """How a drum brake's shoe is lined; 393.47(d) asks more of two pads than of one strip."""

    ONE_STRIP = "one_strip"
    TWO_PADS = "two_pads"


class SteeringAssist(StrEnum):
    POWER = "power"
    MANUAL = "manual"


class MeterKind(StrEnum):
    ODOMETER_MI = "odometer_mi"
    ENGINE_H = "engine_h"
    STANDBY_H = "standby_h"


class ReadingState(StrEnum):
    ACCEPTED = "accepted"
    SET_ASIDE = "set_aside"


class RunningMode(StrEnum):
    """How a cooling unit runs; a load orders one of the two in which it cools."""

    OFF = "off"
    CONTINUOUS = "continuous"
    CYCLING = "cycling"


COOLING_MODES = (RunningMode.CONTINUOUS, RunningMode.CYCLING)


class ReadingSource(StrEnum):
    """Where a cooling reading comes from. What a desk types is refused where it cannot be; of the others it is kept."""

    PHONE = "phone"
    RECORDER = "recorder"
    WALK = "walk"
    DESK = "desk"


SENT_SOURCES = (ReadingSource.PHONE, ReadingSource.RECORDER, ReadingSource.DESK)


class TemperatureScale(StrEnum):
    """What a display or a recorder shows temperatures in."""

    FAHRENHEIT = "degF"
    CELSIUS = "degC"


class ReadingFlag(StrEnum):
    """What is odd about a cooling reading that is kept all the same."""

    FUTURE = "future"
    IMPLAUSIBLE = "implausible"
    ALARM_CLASS_UNKNOWN = "alarm_class_unknown"


class AlarmClass(StrEnum):
    """Our own three classes of a cooling unit's alarms, whatever its maker calls them."""

    STOP = "stop"
    ACT_SOON = "act_soon"
    NOTE = "note"


class Location(StrEnum):
    """Where a unit is: a site of the carrier's, or what stands in its address in words; or somebody drives it."""

    SITE = "site"
    CUSTOMER = "customer"
    DEALER = "dealer"
    TOW_YARD = "tow_yard"
    ROADSIDE = "roadside"
    UNDER_WAY = "under_way"


class InspectionProgram(StrEnum):
    """Who carried out a periodic inspection; 396.17(d), (e) and (f) give their ends differently."""

    SELF = "self"
    AGENT = "agent"
    STATE = "state"


class SignatureMethod(StrEnum):
    DRAWN = "drawn"
    TYPED = "typed"
    CODE = "code"
    PAPER = "paper"
    OTHER = "other"


class SignaturePurpose(StrEnum):
    REPORT = "report"
    CORRECTION = "correction"
    CERTIFICATE = "certificate"
    REVIEW = "review"
    LIFT = "lift"
    IN_ERROR = "in_error"
    REFUSAL = "refusal"
    SECOND_LOOK = "second_look"
    DISPOSITION = "disposition"
    ROADSIDE_ANSWER = "answer"
    WORK_PAUSED = "work_paused"
    SET_ASIDE = "set_aside"


class NotificationKind(StrEnum):
    HOLD_PLACED = "hold_placed"
    LOAD_AT_RISK = "load_at_risk"
    ORDER_BY_OFFICER = "order_by_officer"
    DOCUMENT_ENDING = "document_ending"
    CLEARANCE_BARRED = "clearance_barred"
    ROADSIDE_ANSWER_DUE = "roadside_answer_due"
    EXPECTED_TIME_MOVED = "expected_time_moved"
    UNIT_REFUSED = "unit_refused"
    SECOND_LOOK_DONE = "second_look_done"
    INSPECTION_FLAGGED = "inspection_flagged"
    FAULT_TO_GRADE = "fault_to_grade"
    FAULT_BEFORE_USE = "fault_before_use"
    HOLD_LIFTED = "hold_lifted"
    FIRM_TO_CONFIRM = "firm_to_confirm"
    SEAL_DIFFERS = "seal_differs"
    UNIT_UNKNOWN = "unit_unknown"
    BARRED_UNIT_ON_ROAD = "barred_unit_on_road"
    LIMITED_MOVE_PASSED = "limited_move_passed"
    FUEL_LOST = "fuel_lost"
    RECORD_SKIPPED = "record_skipped"


class Channel(StrEnum):
    MAIL = "mail"
    WEBHOOK = "webhook"


class DeliveryState(StrEnum):
    PENDING = "pending"
    SENT = "sent"
    PARKED = "parked"
    DROPPED = "dropped"


class HoldCause(StrEnum):
    """What freezes a unit's file; never to be taken for a hold, which bars the unit itself."""

    CRASH = "crash"
    CLAIM = "claim"
    COMPLAINT = "complaint"
    OTHER = "other"


class Deleted(StrEnum):
    """What of a record is deleted after its days; the row and its hash stay."""

    HISTORY_CONTENT = "history_content"
    REPORT_CHECKS = "report_checks"
    PHOTO = "photo"
    SCAN = "scan"


class ImportMode(StrEnum):
    """What becomes of a table that was sent: looked at, taken whole or not at all, or taken as far as it is sound."""

    DRY_RUN = "dry_run"
    ALL_OR_NOTHING = "all_or_nothing"
    PARTIAL = "partial"


class RowOutcome(StrEnum):
    """What becomes of a row; a flagged one is created and kept, with what is odd about it."""

    CREATED = "created"
    FLAGGED = "flagged"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    REFUSED = "refused"
    EXAMPLE = "example"


ENDING = "document_ending"
IN_GRACE = "document_in_grace"
OVERDUE = "document_overdue"
MISSING = "document_missing"

LATE_CODES = (OVERDUE, MISSING)
"""What the next role hears of when nobody acknowledges it."""
