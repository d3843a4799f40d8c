"""Sentences about units, combinations, mountings and meters."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import register

# Naming a unit
register("unit_unknown", _("There is no such unit in service."))
register("unit_reference_malformed", _("A unit is named by its number, as number@owner, or by its key."))

# Describing a unit
register("unit_refused", _("What is said about the unit is refused."))
register(
    "unit_number_malformed",
    _("A number has 1 to 32 letters, digits, points, hyphens and underscores, a letter or digit first."),
)
register("owner_malformed", _("An owner's name has no @ and no slash in it."))
register("owner_missing", _("A unit of others needs its owner."))
register("unit_kind_differs", _("{number} of {owner} is already known, as another kind of unit: {known_kind}."))
register("unit_number_taken", _("Another unit in service has this number and owner."))
register("vin_taken", _("Another unit in service has this vehicle identification number."))
register("vin_not_of_kind", _("A cooling unit has a serial number and no vehicle identification number."))
register("vin_length", _("A vehicle identification number has 17 characters."))
register("vin_characters", _("It has capital letters and digits only, without I, O and Q."))
register("vin_model_year", _("The tenth character is no model year."))
register("vin_sequence", _("The last four characters are digits."))
register("vin_check_digit", _("The check digit (ninth character) does not fit: look for a mistyped character."))
register("model_year_implausible", _("The model year cannot be right."))
register("state_malformed", _("A State is named by two capital letters."))
register("axle_role_not_of_kind", _("A unit of this kind has no such axle."))
register("axle_chamber_not_of_actuator", _("This kind of actuator has no chamber of that type."))
register("axle_numbers_with_gap", _("Axles are numbered from the front, from 1 on, none left out and none twice."))
register_constraint("unit_owner_number_unique", "unit_number_taken")
register_constraint("unit_vin_unique", "vin_taken")

# What a unit's state does not allow
register("unit_retired", _("{unit} was taken out of service on {retired_on}."))
register("unit_in_coupling", _("The unit is still coupled; uncouple it first."))
register("unit_mounted", _("The cooling unit is still on a trailer, or the trailer still has one; dismount it first."))

# Instants and days
register("instant_in_future", _("This has not happened yet."))
register("date_in_future", _("This day has not come yet."))
register("end_before_beginning", _("The end must come after the beginning, {beginning}."))

# Running together
register("not_a_combination", _("A combination is one tractor with one to three trailers, each named once."))
register("unit_coupled_elsewhere", _("A unit is recorded in another combination at that time or later."))
register("units_moving", _("Other people are coupling these units just now; try again."))
register("coupling_unknown", _("There is no such combination."))
register("mounting_unknown", _("There is no such mounting."))
register("not_a_trailer", _("{unit} is no trailer."))
register("not_a_cooling_unit", _("{unit} is no cooling unit."))
register("already_mounted", _("The trailer has a cooling unit, or the cooling unit a trailer, at that time or later."))
register_constraint("coupling_member_no_overlap", "unit_coupled_elsewhere")
register_constraint("mounting_trailer_no_overlap", "already_mounted")
register_constraint("mounting_cooling_unit_no_overlap", "already_mounted")

# Meters
register("reading_unknown", _("There is no such reading."))
register("meter_not_on_unit", _("{unit} has no such meter."))
register("reading_negative", _("A meter never shows less than nothing."))
register("reading_future", _("This has not been read yet."))
register(
    "reading_falling",
    _(
        "The total would fall: it was {other_total} at {other_read_at}. If the meter was replaced between, record that "
        "first."
    ),
)
register(
    "reading_implausible",
    _("That is more than can be: the total was {other_total} at {other_read_at}; at most {allowed} lie between."),
)
register("meter_read_since", _("The old meter was still read at {read_at}, after that."))
register("last_reading_missing", _("The meter was never read before: say what the old one showed."))
