"""What is said of units, combinations, mountings, meters and whereabouts: refusals, history entries and labels."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet import enums

STATES: dict[str, Template] = {
    enums.UnitState.IN_SERVICE: _("in service"),
    enums.UnitState.RETIRED: _("retired"),
    enums.CouplingState.COUPLED: _("coupled"),
    enums.MountingState.MOUNTED: _("mounted"),
    enums.CouplingState.ENDED: _("ended"),
}
UNIT_KINDS: dict[str, Template] = {
    enums.UnitKind.TRACTOR: _("tractor"),
    enums.UnitKind.TRAILER: _("trailer"),
    enums.UnitKind.COOLING_UNIT: _("cooling unit"),
}
METER_KINDS: dict[str, Template] = {
    enums.MeterKind.ODOMETER_MI: _("odometer, miles"),
    enums.MeterKind.ENGINE_H: _("engine hours"),
    enums.MeterKind.STANDBY_H: _("standby hours"),
}
LOCATIONS: dict[str, Template] = {
    enums.Location.SITE: _("our site"),
    enums.Location.CUSTOMER: _("a customer's"),
    enums.Location.DEALER: _("a dealer's"),
    enums.Location.TOW_YARD: _("a tow yard"),
    enums.Location.ROADSIDE: _("the roadside"),
    enums.Location.UNDER_WAY: _("under way"),
}
RUNNING_MODES: dict[str, Template] = {
    enums.RunningMode.OFF: _("off"),
    enums.RunningMode.CONTINUOUS: _("continuous"),
    enums.RunningMode.CYCLING: _("start-stop"),
}
MESSAGES: Messages = {
    "heard_from": _("The driver was told by {heard_from}."),
    # Naming a unit
    "unit_unknown": _("There is no such unit in service."),
    "unit_reference_malformed": _("A unit is named by its number, as number@owner, or by its key."),
    # Describing a unit
    "unit_refused": _("The unit is not valid."),
    "unit_number_malformed": _(
        "A number has 1 to 32 letters, digits, points, hyphens and underscores, a letter or digit first."
    ),
    "owner_malformed": _("An owner's name has no @ and no slash in it."),
    "owner_missing": _("A third-party unit needs its owner."),
    "unit_kind_differs": _("{number} of {owner} is already known, as another kind of unit: {known_kind}."),
    "unit_number_taken": _("Another unit in service has this number and owner."),
    "vin_taken": _("Another unit in service has this vehicle identification number."),
    "vin_not_of_kind": _("A cooling unit has a serial number and no vehicle identification number."),
    "vin_length": _("A vehicle identification number has 17 characters."),
    "vin_characters": _("Use capital letters and digits, without I, O and Q."),
    "vin_model_year": _("The tenth character is not a model year."),
    "vin_sequence": _("The last four characters are digits."),
    "vin_check_digit": _("The check digit (ninth character) is wrong. Look for a typing error."),
    "model_year_implausible": _("The model year cannot be right."),
    "in_control_since_implausible": _("The day control began cannot be right."),
    "governor_cut_in_not_below_cut_out": _("The governor's cut-in must be below its cut-out."),
    "meters_too_many_miles": _("More miles than its engine hours explain. Compare both meters."),
    "meters_too_many_hours": _("More engine hours than its miles explain: it idles, or a meter errs."),
    "gross_rating_zero": _("A gross rating is more than 0 pounds."),
    "state_malformed": _("A State is named by two capital letters."),
    "axle_role_not_of_kind": _("This kind of unit has no such axle."),
    "axle_chamber_not_of_actuator": _("This kind of actuator has no chamber of that type."),
    "axles_emptied": _("A unit keeps its axles. Send those that it has."),
    "axle_numbers_with_gap": _("Number axles from the front, 1, 2, 3, without gaps or repeats."),
    # What a unit's state does not allow
    "unit_retired": _("{unit} was taken out of service on {retired_on}."),
    "unit_in_coupling": _("The unit is still coupled; uncouple it first."),
    "unit_mounted": _("The cooling unit is still mounted. Dismount it first."),
    # Running together
    "not_a_combination": _("A combination is one tractor with one to three trailers, each named once."),
    "unit_coupled_elsewhere": _("A unit is recorded in another combination at that time or later."),
    "units_moving": _("These units are being coupled right now. Try again."),
    "coupling_unknown": _("There is no such combination."),
    "mounting_unknown": _("There is no such mounting."),
    "not_a_trailer": _("{unit} is not a trailer."),
    "not_a_cooling_unit": _("{unit} is not a cooling unit."),
    "already_mounted": _("The trailer has a cooling unit, or the cooling unit a trailer, at that time or later."),
    # Meters
    "reading_unknown": _("There is no such reading."),
    "meter_not_on_unit": _("{unit} has no such meter."),
    "reading_negative": _("A meter reading cannot be negative."),
    "reading_future": _("This time is in the future."),
    "reading_falling": _(
        "The total would fall: it was {other_total}, {other_read_at}. Record a meter replacement first."
    ),
    "reading_implausible": _(
        "Too high: the total was {other_total}, {other_read_at}. At most {allowed} can lie between."
    ),
    "meter_read_since": _("The old meter was still read at {read_at}, after that."),
    # Whereabouts
    "site_required": _("Name the site."),
    "address_required": _("Say where, in words."),
    # How a unit was left, for the next driver. Facts: unit, location, where (site or address), at; then one each.
    "left_at": _("{unit} was left at {location}, {where}, on {at}."),
    "left_at_no_address": _("{unit} was left at {location} on {at}."),
    "left_legs_down": _("Landing legs: down."),
    "left_legs_up": _("Landing legs not down: look at them before you couple."),
    "left_doors_closed": _("Doors: closed."),
    "left_doors_open": _("Doors left open: look inside before you close them."),
    "left_mode": _("Cooling unit left in mode {mode}: compare it with the order."),
    "left_fuel": _("Fuel left for the cooling unit: {fuel_gal} gal."),
    "left_seal": _("Seal left on the doors: {seal}. Compare it before you roll."),
    "left_note": _("Note from the driver who left it: {note}"),
    "last_reading_missing": _("The meter was never read before: say what the old one showed."),
    # In a unit's history
    "history_unit_added": _("The unit was added."),
    "history_unit_of_others_added": _("The unit of {owner} was added."),
    "history_unit_edited": _("The unit's record was changed."),
    "history_unit_retired": _("The unit was taken out of service on {retired_on}: {reason}"),
    "history_coupled": _("The unit was coupled."),
    "history_uncoupled": _("The unit was uncoupled."),
    "history_mounted": _("The cooling unit was mounted on the trailer."),
    "history_dismounted": _("The cooling unit was dismounted from the trailer."),
    "history_meter_read": _("A meter was read, {meter}: {shown}, {total} in all."),
    "history_meter_replaced": _("A meter was replaced, {meter}: at {total} in all, the new one at {shown}. {reason}"),
    "history_whereabouts_recorded": _("Where the unit is was recorded: {location} {site} {address}."),
}
CONSTRAINTS = {
    "unit_owner_number_unique": "unit_number_taken",
    "unit_vin_unique": "vin_taken",
    "coupling_member_no_overlap": "unit_coupled_elsewhere",
    "mounting_trailer_no_overlap": "already_mounted",
    "mounting_cooling_unit_no_overlap": "already_mounted",
}
