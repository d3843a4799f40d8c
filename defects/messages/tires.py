"""What is said of tires and how they wear."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "tire_place_unknown": _("{unit} has no tire at this place."),
    "tire_there_already": _("Tire {casing} is on record at this place already."),
    "tire_not_enough_readings": _("Not enough readings to say when it wears out."),
    "tire_no_wear_seen": _("Its readings show no wear yet."),
    "tire_miles_unknown": _("No odometer readings go with it. Read the odometer at each measurement."),
    "tire_wears": _("It may be at {limit}/32 in after {miles_left} more miles."),
    "tire_wears_until": _("Expected at {limit}/32 in on {expected_on}, possibly as early as {limit_on}."),
    # In a unit's history
    "history_tire_mounted": _("Tire {casing} was mounted at {place}."),
    "history_tire_removed": _("Tire {casing} was taken off {place}."),
}
