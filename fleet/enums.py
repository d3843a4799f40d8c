"""The closed vocabularies of what the carrier owns: kinds, roles, scopes, states. No behaviour lives here."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class UnitKind(TextChoices):
    TRACTOR = "tractor", _("tractor")
    TRAILER = "trailer", _("trailer")
    COOLING_UNIT = "cooling_unit", _("cooling unit")


class Role(TextChoices):
    DRIVER = "driver", _("driver")
    MECHANIC = "mechanic", _("mechanic")
    FOREMAN = "foreman", _("foreman")
    COMPLIANCE = "compliance", _("compliance manager")
    DISPATCH = "dispatch", _("dispatch")
    ADMINISTRATOR = "administrator", _("administrator")
    TRAINER = "trainer", _("trainer")
    AUDITOR = "auditor", _("auditor")


class Scope(TextChoices):
    """What a person is qualified for; 396.25 lets a person be qualified for a part of brake work only."""

    BRAKES_INSPECT = "brakes_inspect", _("inspect brakes")
    BRAKES_ADJUST = "brakes_adjust", _("adjust brakes")
    BRAKES_REPAIR = "brakes_repair", _("repair brakes")
    PERIODIC_INSPECTION = "periodic_inspection", _("periodic inspection")
    REFRIGERANT = "refrigerant", _("refrigerant circuits")
    COOLING_UNIT = "cooling_unit", _("cooling units")
    TIRES = "tires", _("tires and wheels")
    FOOD_DISPOSITION = "food_disposition", _("decide over food that may have warmed")
    UNDER_VEHICLE = "under_vehicle", _("trained to look and measure underneath")


class AxleRole(TextChoices):
    STEER = "steer", _("steer")
    DRIVE = "drive", _("drive")
    TRAILER = "trailer", _("trailer")


class BrakeType(TextChoices):
    DRUM = "drum", _("drum")
    DISC = "disc", _("disc")


class BrakeActuator(TextChoices):
    """The tables of 393.47(e) by how a chamber is held together; any other by what its maker marked on it."""

    CLAMP = "clamp", _("clamp-type chamber")
    BOLT = "bolt", _("bolt-type chamber")
    ROTOCHAMBER = "rotochamber", _("rotochamber")
    DD_3 = "dd_3", _("DD-3 chamber")
    OTHER = "other", _("another actuator")


class StrokeClass(TextChoices):
    STANDARD = "standard", _("standard stroke")
    LONG = "long", _("long stroke")
    LONG_3_IN = "long_3_in", _("long stroke, 3 inch")


class Lining(TextChoices):
    """How a drum brake's shoe is lined; 393.47(d) asks more of two pads than of one strip."""

    ONE_STRIP = "one_strip", _("one continuous strip")
    TWO_PADS = "two_pads", _("two pads")


class SteeringAssist(TextChoices):
    POWER = "power", _("power")
    MANUAL = "manual", _("manual")


class MeterKind(TextChoices):
    ODOMETER_MI = "odometer_mi", _("odometer, miles")
    ENGINE_H = "engine_h", _("engine hours")
    STANDBY_H = "standby_h", _("standby hours")


class ReadingState(TextChoices):
    ACCEPTED = "accepted", _("accepted")
    SET_ASIDE = "set_aside", _("set aside")


class InspectionProgram(TextChoices):
    """Who carried out a periodic inspection; 396.17(d), (e) and (f) give their ends differently."""

    SELF = "self", _("by the carrier")
    AGENT = "agent", _("by an agent")
    STATE = "state", _("under a State program")


class SignatureMethod(TextChoices):
    DRAWN = "drawn", _("drawn on the screen")
    TYPED = "typed", _("typed name")
    CODE = "code", _("personal code")
    PAPER = "paper", _("paper, captured")
    OTHER = "other", _("in another way")


class SignaturePurpose(TextChoices):
    REPORT = "report", _("driver vehicle inspection report")
    CORRECTION = "correction", _("corrected on the spot, as the carrier's agent")
    CERTIFICATE = "certificate", _("certificate")
    REVIEW = "review", _("driver review")
    LIFT = "lift", _("lifting of a hold")
    IN_ERROR = "in_error", _("entered in error")
    REFUSAL = "refusal", _("refusal")
    SECOND_LOOK = "second_look", _("second look by an outsider")
    DISPOSITION = "disposition", _("disposition of food")
    ROADSIDE_ANSWER = "answer", _("answer to an officer's report")
    WORK_PAUSED = "work_paused", _("work paused as fit to move")
    SET_ASIDE = "set_aside", _("report set aside")


class NoticeKind(TextChoices):
    HOLD_PLACED = "hold_placed", _("a hold was placed")
    LOAD_AT_RISK = "load_at_risk", _("a load is at risk")
    ORDER_BY_OFFICER = "order_by_officer", _("an officer's order")
    DOCUMENT_ENDING = "document_ending", _("a document is ending")
    ANSWER_FLIPPED = "answer_flipped", _("an answer changed to barred")
    ROADSIDE_ANSWER_DUE = "roadside_answer_due", _("a roadside answer is due")
    PROMISE_MOVED = "promise_moved", _("a promised time moved")
    UNIT_REFUSED = "unit_refused", _("a driver refused a unit")
    SECOND_LOOK_DONE = "second_look_done", _("a second person looked at a refused unit")
    INSPECTION_QUERIED = "inspection_queried", _("a passed inspection is queried")
    FAULT_TO_GRADE = "fault_to_grade", _("a fault waits for its grade")
    FAULT_BEFORE_USE = "fault_before_use", _("a fault is to be repaired before the next use")
    HOLD_LIFTED = "hold_lifted", _("a hold was lifted by a foreman of another site")
    FIRM_TO_CONFIRM = "firm_to_confirm", _("a firm waits to be confirmed")
    SEAL_DIFFERS = "seal_differs", _("a seal is not the one on the papers")
    UNIT_UNKNOWN = "unit_unknown", _("a fault was reported on a unit that is not known")
    RECORD_PASSED_OVER = "record_passed_over", _("a sweep passes over a record")


class Channel(TextChoices):
    MAIL = "mail", _("mail")
    WEBHOOK = "webhook", _("webhook")


class DeliveryState(TextChoices):
    OWED = "owed", _("owed")
    SENT = "sent", _("sent")
    PARKED = "parked", _("parked after repeated failure")
    DROPPED = "dropped", _("dropped: what it was to tell of had ended")


class HoldCause(TextChoices):
    """What freezes a unit's file; never to be taken for a hold, which bars the unit itself."""

    CRASH = "crash", _("a crash")
    CLAIM = "claim", _("a claim")
    COMPLAINT = "complaint", _("a complaint")
    OTHER = "other", _("another reason")


class Deleted(TextChoices):
    """What of a record is deleted after its days; the row and its hash stay."""

    HISTORY_CONTENT = "history_content", _("what a history entry said")
    REPORT_CHECKS = "report_checks", _("what a driver's report listed")
    PHOTO = "photo", _("a photo's file")
    SCAN = "scan", _("the scan of a replaced paper")


class ImportMode(TextChoices):
    """What becomes of a table that was sent: looked at, taken whole or not at all, or taken as far as it is sound."""

    DRY_RUN = "dry_run", _("dry run")
    ALL_OR_NOTHING = "all_or_nothing", _("all or nothing")
    PARTIAL = "partial", _("partial")


class RowOutcome(TextChoices):
    CREATED = "created", _("created")
    CHANGED = "changed", _("changed")
    UNCHANGED = "unchanged", _("unchanged")
    REFUSED = "refused", _("refused")
    EXAMPLE = "example", _("the template's example, left out")
