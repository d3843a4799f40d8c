"""Sentences about units, combinations, mountings and meters."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    # Naming a unit
    "unit_unknown": _("There is no such unit in service."),
    "unit_reference_malformed": _("A unit is named by its number, as number@owner, or by its key."),
    # Describing a unit
    "unit_refused": _("What is said about the unit is refused."),
    "unit_number_malformed": _(
        "A number has 1 to 32 letters, digits, points, hyphens and underscores, a letter or digit first."
    ),
    "owner_malformed": _("An owner's name has no @ and no slash in it."),
    "owner_missing": _("A unit of others needs its owner."),
    "unit_kind_differs": _("{number} of {owner} is already known, as another kind of unit: {known_kind}."),
    "unit_number_taken": _("Another unit in service has this number and owner."),
    "vin_taken": _("Another unit in service has this vehicle identification number."),
    "vin_not_of_kind": _("A cooling unit has a serial number and no vehicle identification number."),
    "vin_length": _("A vehicle identification number has 17 characters."),
    "vin_characters": _("It has capital letters and digits only, without I, O and Q."),
    "vin_model_year": _("The tenth character is no model year."),
    "vin_sequence": _("The last four characters are digits."),
    "vin_check_digit": _("The check digit (ninth character) does not fit: look for a mistyped character."),
    "model_year_implausible": _("The model year cannot be right."),
    "state_malformed": _("A State is named by two capital letters."),
    "axle_role_not_of_kind": _("A unit of this kind has no such axle."),
    "axle_chamber_not_of_actuator": _("This kind of actuator has no chamber of that type."),
    "axle_numbers_with_gap": _("Axles are numbered from the front, from 1 on, none left out and none twice."),
    # What a unit's state does not allow
    "unit_retired": _("{unit} was taken out of service on {retired_on}."),
    "unit_in_coupling": _("The unit is still coupled; uncouple it first."),
    "unit_mounted": _("The cooling unit is still on a trailer, or the trailer still has one; dismount it first."),
    # Instants and days
    "instant_in_future": _("This has not happened yet."),
    "date_in_future": _("This day has not come yet."),
    "end_before_beginning": _("The end must come after the beginning, {beginning}."),
    # Running together
    "not_a_combination": _("A combination is one tractor with one to three trailers, each named once."),
    "unit_coupled_elsewhere": _("A unit is recorded in another combination at that time or later."),
    "units_moving": _("Other people are coupling these units just now; try again."),
    "coupling_unknown": _("There is no such combination."),
    "mounting_unknown": _("There is no such mounting."),
    "not_a_trailer": _("{unit} is no trailer."),
    "not_a_cooling_unit": _("{unit} is no cooling unit."),
    "already_mounted": _("The trailer has a cooling unit, or the cooling unit a trailer, at that time or later."),
    # Meters
    "reading_unknown": _("There is no such reading."),
    "meter_not_on_unit": _("{unit} has no such meter."),
    "reading_negative": _("A meter never shows less than nothing."),
    "reading_future": _("This has not been read yet."),
    "reading_falling": _(
        "The total would fall: it was {other_total} at {other_read_at}. If the meter was replaced between, record that "
        "first."
    ),
    "reading_implausible": _(
        "That is more than can be: the total was {other_total} at {other_read_at}; at most {allowed} lie between."
    ),
    "meter_read_since": _("The old meter was still read at {read_at}, after that."),
    "last_reading_missing": _("The meter was never read before: say what the old one showed."),
}
CONSTRAINTS = {
    "unit_owner_number_unique": "unit_number_taken",
    "unit_vin_unique": "vin_taken",
    "coupling_member_no_overlap": "unit_coupled_elsewhere",
    "mounting_trailer_no_overlap": "already_mounted",
    "mounting_cooling_unit_no_overlap": "already_mounted",
}
