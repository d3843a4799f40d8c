"""The closed vocabularies of what drivers find and what bars a unit. No behaviour lives here."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class WalkaroundKind(TextChoices):
    PRE_TRIP = "pre_trip", _("pre-trip")
    EN_ROUTE = "en_route", _("en route")
    POST_TRIP = "post_trip", _("post-trip")
    PICK_UP = "pick_up", _("pick-up")
    DROP = "drop", _("drop")
    OTHER = "other", _("of another kind")


class CheckAnswer(TextChoices):
    FINE = "fine", _("fine")
    DEFECT = "defect", _("defect")
    CORRECTED = "corrected", _("corrected on the spot")
    NOT_APPLICABLE = "not_applicable", _("not applicable")
    NOT_REACHED = "not_reached", _("not reached")


class NotReached(TextChoices):
    SEALED = "sealed", _("sealed")
    DARK = "dark", _("dark")
    NO_HELPER = "no_helper", _("no helper")
    WEATHER = "weather", _("weather")
    BLOCKED = "blocked", _("blocked")
    OTHER = "other", _("other")


class Leg(TextChoices):
    APPROACH = "approach", _("approach")
    ENGINE_BAY = "engine_bay", _("engine bay")
    CAB = "cab", _("cab")
    BRAKE_TESTS = "brake_tests", _("brake tests")
    TRACTOR_FRONT = "tractor_front", _("tractor front")
    TRACTOR_SIDES = "tractor_sides", _("tractor sides")
    COUPLING = "coupling", _("coupling area")
    COOLING_UNIT = "cooling_unit", _("cooling unit")
    TRAILER_SIDES = "trailer_sides", _("trailer sides")
    AXLES = "axles", _("axles")
    TRAILER_REAR = "trailer_rear", _("trailer rear")
    INSIDE_BOX = "inside_box", _("inside the box")


class Standing(TextChoices):
    STATUTORY = "statutory", _("statutory")
    CARRIER = "carrier", _("carrier")


class Severity(TextChoices):
    DO_NOT_MOVE = "do_not_move", _("do not move")
    BEFORE_NEXT_USE = "before_next_use", _("before next use")
    NEXT_SHOP_VISIT = "next_shop_visit", _("next shop visit")
    WATCH = "watch", _("watch")


class Bars(TextChoices):
    MOVEMENT = "movement", _("movement")
    FOOD = "food", _("food, cold or dry")
    COLD_FREIGHT = "cold_freight", _("cold freight")
    NOTHING = "nothing", _("nothing")


class Listing(TextChoices):
    """Why a defect is on the certified list (396.11(a)(2)(i)); `noted` is for the shop, beside the list."""

    SAFETY = "safety", _("would affect the safety of operation")
    BREAKDOWN = "breakdown", _("would result in a mechanical breakdown")
    REGULATION = "regulation", _("a regulation asks for it")
    DRIVER = "driver", _("listed by the driver")
    UNGRADED = "ungraded", _("in the driver's words, not graded yet")
    FOREMAN = "foreman", _("listed by the foreman")
    OFFICER = "officer", _("on an officer's report")
    NOTED = "noted", _("noted for the shop")


class DefectState(TextChoices):
    REPORTED = "reported", _("reported")
    IN_REPAIR = "in_repair", _("in repair")
    DEFERRED = "deferred", _("deferred")
    CERTIFIED = "certified", _("certified repaired, review owed")
    CLOSED = "closed", _("closed")
    ENTERED_IN_ERROR = "entered_in_error", _("entered in error")


OPEN_DEFECT_STATES = (DefectState.REPORTED, DefectState.IN_REPAIR, DefectState.DEFERRED)


class SightingHow(TextChoices):
    """What a finding meant for its defect when it came in."""

    NEW = "new", _("new")
    SEEN_AGAIN = "seen_again", _("seen again")
    RAISED = "raised", _("raised")
    LATE = "late", _("late, from before its certificate")


class HoldKind(TextChoices):
    CARRIER = "carrier", _("by the carrier")
    OFFICER = "officer", _("by an officer's order")


class CertificateKind(TextChoices):
    REPAIRED = "repaired", _("repaired")
    REPAIR_UNNECESSARY = "repair_unnecessary", _("repair unnecessary")


class RefusalState(TextChoices):
    WAITING = "waiting", _("waiting for a second look")
    LOOKED_AT = "looked_at", _("looked at by a second qualified person")


class RiskState(TextChoices):
    OPEN = "open", _("open")
    CLOSED = "closed", _("closed")


class RiskEntryKind(TextChoices):
    READING = "reading", _("reading")
    CALL = "call", _("call")
    DECISION = "decision", _("decision")


class CoolingMode(TextChoices):
    """How the cooling unit is to run, as ordered."""

    CONTINUOUS = "continuous", _("continuous")
    CYCLING = "cycling", _("cycling")


class TemperatureClass(TextChoices):
    FROZEN = "frozen", _("frozen")
    CHILLED = "chilled", _("chilled")
    PROTECT_FROM_FREEZING = "protect_from_freezing", _("protect from freezing")
    DRY = "dry", _("dry")


class ClearanceAnswer(TextChoices):
    BARRED = "barred", _("barred")
    AFTER_DRIVER_STEPS = "after_driver_steps", _("after driver steps")
    NOTHING_KNOWN_AGAINST = "nothing_known_against", _("nothing known against it")
