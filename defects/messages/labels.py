"""What people read for the code words of defects: states, severities, bars, evidence. Holds no sentence."""

from django.utils.translation import gettext_lazy as _

from common.messages import Template, Words
from defects.enums import (
    Authority,
    Bars,
    CertificateKind,
    DefectState,
    Evidence,
    HoldKind,
    Leg,
    Listing,
    LoadState,
    MoveState,
    RefusalState,
    RoadsideState,
    Severity,
    SightingHow,
    WalkaroundKind,
)
from fleet.enums import HoldState

DEFECT_STATES: dict[str, Template] = {
    DefectState.REPORTED: _("reported"),
    DefectState.IN_REPAIR: _("in repair"),
    DefectState.DEFERRED: _("deferred"),
    DefectState.CERTIFIED: _("certified repaired, review due"),
    DefectState.CLOSED: _("closed"),
    DefectState.ENTERED_IN_ERROR: _("entered in error"),
}
OTHER_STATES: dict[str, Template] = {
    HoldState.LIFTED: _("lifted"),
    RefusalState.WAITING: _("waiting"),
    RefusalState.LOOKED_AT: _("looked at by a second qualified person"),
    MoveState.ALLOWED: _("allowed"),
    LoadState.PLANNED: _("planned"),
    LoadState.LOADED: _("loaded"),
    LoadState.DELIVERED: _("delivered"),
    LoadState.CANCELLED: _("cancelled"),
    RoadsideState.ANSWER_DUE: _("answer due"),
    RoadsideState.ANSWERED: _("answered"),
}
SEVERITIES: dict[str, Template] = {
    Severity.DO_NOT_MOVE: _("do not move"),
    Severity.BEFORE_NEXT_USE: _("before next use"),
    Severity.NEXT_SHOP_VISIT: _("next shop visit"),
    Severity.WATCH: _("watch"),
}
BARS: dict[str, Template] = {
    Bars.MOVEMENT: _("movement"),
    Bars.FOOD: _("food, cold or dry"),
    Bars.COLD_FREIGHT: _("cold freight"),
    Bars.NOTHING: _("nothing"),
}
AUTHORITIES: dict[str, Template] = {
    Authority.STATUTORY: _("statutory"),
    Authority.CARRIER: _("carrier"),
}
LISTINGS: dict[str, Template] = {
    Listing.SAFETY: _("would affect the safety of operation"),
    Listing.BREAKDOWN: _("would result in a mechanical breakdown"),
    Listing.REGULATION: _("a regulation asks for it"),
    Listing.DRIVER: _("listed by the driver"),
    Listing.UNGRADED: _("in the driver's words, not graded yet"),
    Listing.FOREMAN: _("listed by the foreman"),
    Listing.OFFICER: _("on an officer's report"),
    Listing.NOTED: _("noted for the shop"),
}
SIGHTINGS: dict[str, Template] = {
    SightingHow.NEW: _("new"),
    SightingHow.SEEN_AGAIN: _("seen again"),
    SightingHow.RAISED: _("raised"),
    SightingHow.LATE: _("late, from before its certificate"),
}
HOLD_KINDS: dict[str, Template] = {
    HoldKind.CARRIER: _("by the carrier"),
    HoldKind.OFFICER: _("by an officer's order"),
}
CERTIFICATE_KINDS: dict[str, Template] = {
    CertificateKind.REPAIRED: _("repaired"),
    CertificateKind.REPAIR_UNNECESSARY: _("repair unnecessary"),
}
WALKAROUND_KINDS: dict[str, Template] = {
    WalkaroundKind.PRE_TRIP: _("pre-trip"),
    WalkaroundKind.EN_ROUTE: _("en route"),
    WalkaroundKind.POST_TRIP: _("post-trip"),
    WalkaroundKind.PICK_UP: _("pick-up"),
    WalkaroundKind.DROP: _("drop"),
    WalkaroundKind.OTHER: _("of another kind"),
}
LEGS: dict[str, Template] = {
    Leg.APPROACH: _("approach"),
    Leg.ENGINE_BAY: _("engine bay"),
    Leg.CAB: _("cab"),
    Leg.BRAKE_TESTS: _("brake tests"),
    Leg.TRACTOR_FRONT: _("tractor front"),
    Leg.TRACTOR_SIDES: _("tractor sides"),
    Leg.COUPLING: _("coupling area"),
    Leg.COOLING_UNIT: _("cooling unit"),
    Leg.TRAILER_SIDES: _("trailer sides"),
    Leg.AXLES: _("axles"),
    Leg.TRAILER_REAR: _("trailer rear"),
    Leg.INSIDE_BOX: _("inside the box"),
}
MISSING: dict[str, Template] = {
    "what": _("what was done"),
    "by": _("who did it"),
    "photo_hash": _("the photo"),
}
"""What a fault put right on the spot must come with."""
EVIDENCE: dict[str, Template] = {
    Evidence.PHOTO: _("a photo"),
    Evidence.MEASUREMENT: _("a measurement"),
    Evidence.REPEATED_TEST: _("the test repeated by another qualified person"),
    Evidence.STATEMENT: _("a statement in words"),
}

WORDS: Words = {
    "state": {**DEFECT_STATES, **OTHER_STATES},
    "severity": SEVERITIES,
    "regulation": SEVERITIES,
    "bars": BARS,
    "evidence": EVIDENCE,
    "leg": LEGS,
    "missing": MISSING,
    "kind": CERTIFICATE_KINDS,
    "passed": {"True": _("it passed"), "False": _("it failed again")},
}
