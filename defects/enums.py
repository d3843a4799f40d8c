"""The closed sets of what drivers find and what bars a unit; `rules.vocabulary` holds those of the catalogue alone."""

from collections.abc import Iterable, Mapping
from enum import StrEnum


class WalkaroundKind(StrEnum):
    PRE_TRIP = "pre_trip"
    EN_ROUTE = "en_route"
    POST_TRIP = "post_trip"
    PICK_UP = "pick_up"
    DROP = "drop"
    OTHER = "other"


class Form(StrEnum):
    """The lists that a driver may walk by; `rules.catalogue.observed` says what kind of walk-around each is for."""

    DAILY = "daily"
    FULL = "full"
    SEALED = "sealed"
    PICK_UP = "pick_up"
    DROP = "drop"
    EN_ROUTE = "en_route"
    POST_TRIP = "post_trip"


class CheckAnswer(StrEnum):
    """What a person says at a point."""

    FINE = "fine"
    DEFECT = "defect"
    CORRECTED = "corrected"
    NOT_APPLICABLE = "not_applicable"
    NOT_REACHED = "not_reached"


class Outcome(StrEnum):
    """What the rules make of an answer."""

    FINE = "fine"
    FINDING = "finding"
    CORRECTED = "corrected"
    NOT_APPLICABLE = "not_applicable"
    NOT_REACHED = "not_reached"
    FLAGGED = "flagged"


class NotReached(StrEnum):
    """Why a point was not looked at."""

    SEALED = "sealed"
    DARK = "dark"
    NO_HELPER = "no_helper"
    WEATHER = "weather"
    BLOCKED = "blocked"
    OTHER = "other"


class Leg(StrEnum):
    """The legs of a lap round a combination, in the order of the feet; what has two sides, as the catalogue has it."""

    APPROACH = "approach"
    ENGINE_BAY = "engine_bay"
    TRACTOR_FRONT = "tractor_front"
    TRACTOR_SIDES = "tractor_sides"
    TRACTOR_LEFT = "tractor_left"
    COUPLING = "coupling"
    TRAILER_SIDES = "trailer_sides"
    AXLES = "axles"
    TRAILER_LEFT = "trailer_left"
    TRAILER_REAR = "trailer_rear"
    TRAILER_RIGHT = "trailer_right"
    TRACTOR_RIGHT = "tractor_right"
    INSIDE_BOX = "inside_box"
    COOLING_UNIT = "cooling_unit"
    CAB = "cab"
    BRAKE_TESTS = "brake_tests"


class Authority(StrEnum):
    """A statutory point belongs to the driver vehicle inspection report; a carrier point is recorded beside it."""

    STATUTORY = "statutory"
    CARRIER = "carrier"


class Severity(StrEnum):
    DO_NOT_MOVE = "do_not_move"
    BEFORE_NEXT_USE = "before_next_use"
    NEXT_SHOP_VISIT = "next_shop_visit"
    WATCH = "watch"


SEVERITY_RANK = {Severity.WATCH: 0, Severity.NEXT_SHOP_VISIT: 1, Severity.BEFORE_NEXT_USE: 2, Severity.DO_NOT_MOVE: 3}
"""The graver, the higher. The order of the lines above says nothing."""


class Bars(StrEnum):
    """What a finding keeps a unit from."""

    MOVEMENT = "movement"
    FOOD = "food"
    COLD_FREIGHT = "cold_freight"
    NOTHING = "nothing"


BARS_RANK: Mapping[Bars, int] = {Bars.NOTHING: 0, Bars.COLD_FREIGHT: 1, Bars.FOOD: 2, Bars.MOVEMENT: 3}
"""The more it bars, the higher. The order of the lines above says nothing."""

FREIGHT = frozenset({Bars.COLD_FREIGHT, Bars.FOOD})
"""What keeps some freight off and never bars movement: `food` is every load of food, cold or dry."""


class Listing(StrEnum):
    """Why a defect is on the certified list of 49 CFR 396.11(a)(2)(i), or that it is noted for the shop beside it.

    The list holds what would affect the safety of operation of the vehicle or result in its mechanical breakdown.
    """

    SAFETY = "safety"
    BREAKDOWN = "breakdown"
    REGULATION = "regulation"
    DRIVER = "driver"
    UNGRADED = "ungraded"
    FOREMAN = "foreman"
    OFFICER = "officer"
    NOTED = "noted"


class DefectState(StrEnum):
    REPORTED = "reported"
    IN_REPAIR = "in_repair"
    DEFERRED = "deferred"
    CERTIFIED = "certified"
    CLOSED = "closed"
    ENTERED_IN_ERROR = "entered_in_error"


OPEN_DEFECT_STATES = (DefectState.REPORTED, DefectState.IN_REPAIR, DefectState.DEFERRED)


class SightingHow(StrEnum):
    """What a finding means for its defect."""

    NEW = "new"
    SEEN_AGAIN = "seen_again"
    RAISED = "raised"
    LATE = "late"


class HoldKind(StrEnum):
    """Who placed a hold: the word alone is never used for an officer's order."""

    CARRIER = "carrier"
    OFFICER = "officer"


class CertificateKind(StrEnum):
    REPAIRED = "repaired"
    REPAIR_UNNECESSARY = "repair_unnecessary"


class Evidence(StrEnum):
    """What a certificate for a fault at this point must show."""

    MEASUREMENT = "measurement"
    PHOTO = "photo"
    REPEATED_TEST = "repeated_test"
    STATEMENT = "statement"


class ReviewState(StrEnum):
    DUE = "due"
    REVIEWED = "reviewed"
    NOT_DUE = "not_due"


class RefusalState(StrEnum):
    WAITING = "waiting"
    LOOKED_AT = "looked_at"


class MoveState(StrEnum):
    ALLOWED = "allowed"
    ENDED = "ended"


class RoadsideState(StrEnum):
    """Of an officer's report: a clean one needs no answer."""

    CLEAN = "clean"
    ANSWER_DUE = "answer_due"
    ANSWERED = "answered"


class LinkState(StrEnum):
    """Of a link by which somebody outside signs."""

    OPEN = "open"
    USED = "used"
    REVOKED = "revoked"
    OVER = "over"


class LoadState(StrEnum):
    PLANNED = "planned"
    LOADED = "loaded"
    DELIVERED = "delivered"
    CANCELLED = "cancelled"


class RiskState(StrEnum):
    OPEN = "open"
    CLOSED = "closed"


class RiskCause(StrEnum):
    DEFECT = "defect"
    PRODUCT_TOO_WARM = "product_too_warm"
    PRODUCT_TOO_COLD = "product_too_cold"
    PRODUCT_CORRECTED = "product_corrected"
    AIR_OUTSIDE_RANGE = "air_outside_range"


class RiskEntryKind(StrEnum):
    READING = "reading"
    CALL = "call"
    DECISION = "decision"


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


class ClearanceAnswer(StrEnum):
    """Worst first. None of them says that a vehicle is safe."""

    BARRED = "barred"
    AFTER_DRIVER_STEPS = "after_driver_steps"
    NOTHING_KNOWN_AGAINST = "nothing_known_against"


_BARS_MOVEMENT = frozenset({Severity.BEFORE_NEXT_USE, Severity.DO_NOT_MOVE})


def rank(severity: Severity | str) -> int:
    """0 for the mildest (`watch`), 3 for `do_not_move`; ValueError for another word."""
    return SEVERITY_RANK[Severity(severity)]


def worst(severities: Iterable[Severity | str]) -> Severity | None:
    """The most severe of them, or None of none."""
    return max((Severity(severity) for severity in severities), key=SEVERITY_RANK.__getitem__, default=None)


def is_worse(severity: Severity | str, than: Severity | str) -> bool:
    """Whether the first is more severe than the second; equal ones are not."""
    return rank(severity) > rank(than)


def bars_rank(bars: Bars | str) -> int:
    """0 for `nothing`, 3 for `movement`; ValueError for another word."""
    return BARS_RANK[Bars(bars)]


def default_bars(severity: Severity) -> Bars:
    """What a severity bars unless a point says otherwise: movement for the two that stop a unit, else nothing."""
    return Bars.MOVEMENT if severity in _BARS_MOVEMENT else Bars.NOTHING


def go_together(severity: Severity, bars: Bars) -> bool:
    """Whether the pair is one that a finding may carry.

    `movement` belongs to exactly the two severities that keep a unit from being driven. `cold_freight` and `food`
    belong to `next_shop_visit` alone: the fault keeps such freight off and never stops the unit.
    """
    if bars in FREIGHT:
        return severity is Severity.NEXT_SHOP_VISIT
    return (bars is Bars.MOVEMENT) == (severity in _BARS_MOVEMENT)


def bars_until_certified(bars: str, listing: str) -> str:
    """What a fault keeps its unit from until it is certified: what its grade bars, or movement where it is listed.

    What is listed needs its certificate before the unit is driven again (396.11(a)(3), 396.13); freight's faults are
    weighed for freight alone.
    """
    return bars if listing == Listing.NOTED or bars in FREIGHT else Bars.MOVEMENT
