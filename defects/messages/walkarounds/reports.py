"""What is said of walk-arounds, their reports and photos: refusals, history entries, notifications, labels."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from defects import enums

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
MESSAGES: Messages = {
    "walkaround_differs": _("A different walk-around exists under this key. Nothing was changed."),
    "unsigned": _("It is not signed. Sign and send it again."),
    "signed_by_another": _("The person who submits a walk-around must sign it."),
    "walkaround_unknown": _("There is no such walk-around of yours."),
    "set_aside_already": _("This report is already set aside."),
    "report_readable": _("This report can be read. It stays."),
    "report_of_no_unit": _("This report names no known unit, so it bars none."),
    "busy": _("These units are being changed right now. Send it again."),
    "report_unknown": _("There is no such report."),
    "unit_known_already": _("This report already has its unit. Nothing was changed."),
    "units_moved": _("Its units were just coupled or mounted. Send it again."),
    "walk_needs_units": _("Name a tractor, a trailer or both."),
    "not_of_this_kind": _("The unit named is of another kind."),
    "photo_unknown": _("There is no such photo here."),
    "photos_too_fast": _("Too many photos at once. Send the rest in {retry_after} seconds. None is lost."),
    "photo_not_named": _("No signed report of this walk-around names a photo with this hash."),
    # In a unit's history
    "history_report_signed": _("A report was signed: {checks} checks, {findings} found, {flagged} flagged."),
    "history_report_assigned": _("A report that named {given_unit} was assigned to this unit."),
    "history_photo_received": _("A photo was received."),
    "history_fault_corrected_on_the_spot": _("Corrected on the spot by {by}: {what}"),
    "history_report_set_aside": _("A report that cannot be read was set aside: {reason}"),
    # Notifications
    # Facts: unit (as given), what, reported_by, at.
    "fault_on_unknown_unit": _(
        "{reported_by} reported on {unit}, {at}: {what}. No unit has this number. Find the unit and hold it."
    ),
    "fault_on_unknown_unit_subject": _("Fault on an unknown unit: {unit}"),
}
