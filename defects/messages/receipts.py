"""What a driver is told when a walk-around has been taken in."""

from django.utils.translation import gettext_lazy as _

from common.messages import register

# Facts: units (those that are held).
register("receipt_held", _("Do not move {units}. Foreman and dispatch are told."))
register(
    "receipt_load_at_risk",
    _("Got it. The load is at risk; dispatch and foreman are told. Call them, and read temperatures. You may roll."),
)
register("receipt_found", _("Got it. Faults are on record. Ask for clearance before you roll."))
register("receipt_queried", _("Got it. Something on it is kept for the foreman. Ask for clearance before you roll."))
register("receipt_nothing_found", _("Got it. Nothing found. Ask for clearance before you roll."))
