"""What people read for the code words of defects: states, severities, bars, evidence. Holds no sentence."""

from django.utils.translation import gettext_lazy as _

from common.messages import Template, Words
from defects import enums
from fleet.enums import HoldState

DEFECT_STATES: dict[str, Template] = {
    enums.DefectState.REPORTED: _("reported"),
    enums.DefectState.IN_REPAIR: _("in repair"),
    enums.DefectState.DEFERRED: _("deferred"),
    enums.DefectState.CERTIFIED: _("certified repaired, review due"),
    enums.DefectState.CLOSED: _("closed"),
    enums.DefectState.ENTERED_IN_ERROR: _("entered in error"),
}
OTHER_STATES: dict[str, Template] = {
    HoldState.LIFTED: _("lifted"),
    enums.RefusalState.WAITING: _("waiting"),
    enums.RefusalState.LOOKED_AT: _("looked at by a second qualified person"),
    enums.MoveState.ALLOWED: _("allowed"),
    enums.LoadState.PLANNED: _("planned"),
    enums.LoadState.LOADED: _("loaded"),
    enums.LoadState.DELIVERED: _("delivered"),
    enums.LoadState.CANCELLED: _("cancelled"),
    enums.RoadsideState.ANSWER_DUE: _("answer due"),
    enums.RoadsideState.ANSWERED: _("answered"),
}
SEVERITIES: dict[str, Template] = {
    enums.Severity.DO_NOT_MOVE: _("do not move"),
    enums.Severity.BEFORE_NEXT_USE: _("before next use"),
    enums.Severity.NEXT_SHOP_VISIT: _("next shop visit"),
    enums.Severity.WATCH: _("watch"),
}
BARS: dict[str, Template] = {
    enums.Bars.MOVEMENT: _("movement"),
    enums.Bars.FOOD: _("food, cold or dry"),
    enums.Bars.COLD_FREIGHT: _("cold freight"),
    enums.Bars.NOTHING: _("nothing"),
}
AUTHORITIES: dict[str, Template] = {enums.Authority.STATUTORY: _("statutory"), enums.Authority.CARRIER: _("carrier")}
LISTINGS: dict[str, Template] = {
    enums.Listing.SAFETY: _("would affect the safety of operation"),
    enums.Listing.BREAKDOWN: _("would result in a mechanical breakdown"),
    enums.Listing.REGULATION: _("a regulation asks for it"),
    enums.Listing.DRIVER: _("listed by the driver"),
    enums.Listing.UNGRADED: _("in the driver's words, not graded yet"),
    enums.Listing.FOREMAN: _("listed by the foreman"),
    enums.Listing.OFFICER: _("on an officer's report"),
    enums.Listing.NOTED: _("noted for the shop"),
}
SIGHTINGS: dict[str, Template] = {
    enums.SightingHow.NEW: _("new"),
    enums.SightingHow.SEEN_AGAIN: _("seen again"),
    enums.SightingHow.RAISED: _("raised"),
    enums.SightingHow.LATE: _("late, from before its certificate"),
}
HOLD_KINDS: dict[str, Template] = {
    enums.HoldKind.CARRIER: _("by the carrier"),
    enums.HoldKind.OFFICER: _("by an officer's order"),
}
CERTIFICATE_KINDS: dict[str, Template] = {
    enums.CertificateKind.REPAIRED: _("repaired"),
    enums.CertificateKind.REPAIR_UNNECESSARY: _("repair unnecessary"),
}
WALKAROUND_KINDS: dict[str, Template] = {
    enums.WalkaroundKind.PRE_TRIP: _("pre-trip"),
    enums.WalkaroundKind.EN_ROUTE: _("en route"),
    enums.WalkaroundKind.POST_TRIP: _("post-trip"),
    enums.WalkaroundKind.PICK_UP: _("pick-up"),
    enums.WalkaroundKind.DROP: _("drop"),
    enums.WalkaroundKind.OTHER: _("of another kind"),
}
LEGS: dict[str, Template] = {
    enums.Leg.APPROACH: _("approach"),
    enums.Leg.ENGINE_BAY: _("engine bay"),
    enums.Leg.CAB: _("cab"),
    enums.Leg.BRAKE_TESTS: _("brake tests"),
    enums.Leg.TRACTOR_FRONT: _("tractor front"),
    enums.Leg.TRACTOR_SIDES: _("tractor sides"),
    enums.Leg.TRACTOR_LEFT: _("tractor, left side"),
    enums.Leg.TRACTOR_RIGHT: _("tractor, right side"),
    enums.Leg.COUPLING: _("coupling area"),
    enums.Leg.COOLING_UNIT: _("cooling unit"),
    enums.Leg.TRAILER_SIDES: _("trailer sides"),
    enums.Leg.TRAILER_LEFT: _("trailer, left side"),
    enums.Leg.TRAILER_RIGHT: _("trailer, right side"),
    enums.Leg.AXLES: _("axles"),
    enums.Leg.TRAILER_REAR: _("trailer rear"),
    enums.Leg.INSIDE_BOX: _("inside the box"),
}
MISSING: dict[str, Template] = {"what": _("what was done"), "by": _("who did it"), "photo_hash": _("the photo")}
"""What a fault put right on the spot must come with."""
EVIDENCE: dict[str, Template] = {
    enums.Evidence.PHOTO: _("a photo"),
    enums.Evidence.MEASUREMENT: _("a measurement"),
    enums.Evidence.REPEATED_TEST: _("the test repeated by another qualified person"),
    enums.Evidence.STATEMENT: _("a statement in words"),
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
