"""What is said of readings of cooling units."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template
from fleet.enums import ReadingFlag

FLAGS: dict[str, Template] = {
    ReadingFlag.FUTURE: _("Its time is in the future. Check the clock it was read by."),
    ReadingFlag.IMPLAUSIBLE: _("No cooling unit shows such a figure. Read it again."),
    ReadingFlag.ALARM_CLASS_UNKNOWN: _("An alarm is in no known class. Look at the alarm."),
}
MESSAGES: Messages = {
    "figure_implausible": _("This is out of range: {least} to {most}."),
    "alarm_class_unknown": _("Class each alarm as one of {allowed}."),
    "forecast_being_worked_out": _("This cooling unit's first readings are being worked out. Ask again in a minute."),
    **{f"cooling_flag_{flag}": template for flag, template in FLAGS.items()},
    "forecast_unknown": _("This cooling unit was never read."),
    # Facts: unit, lost_gal, gone_gal, explained_gal, engine_h, since_at, until_at
    "fuel_lost": _(
        "{unit}: {gone_gal} gal of fuel gone from {since_at} to {until_at}, in {engine_h} engine hours. These explain "
        "{explained_gal} gal at most (95 %, gauge within 2 gal). Look for a leak and compare the gauge."
    ),
    "fuel_lost_subject": _("{unit}: {lost_gal} gal of fuel gone beyond its hours"),
    "fuel_lost_here": _("{lost_gal} gal of fuel gone beyond its hours. Look for a leak."),
    # In a unit's history
    "history_fuel_lost": _("{lost_gal} gal of fuel were gone beyond what its hours explain."),
    "history_cooling_readings_recorded": _("Readings of the cooling unit were recorded: {count}."),
}
CONSTRAINTS = {"cooling_reading_once": "cooling_reading_on_record"}
