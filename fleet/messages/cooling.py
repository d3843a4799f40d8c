"""What is said of readings of cooling units."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "figure_implausible": _("This is out of range: {least} to {most}."),
    "alarm_class_unknown": _("Class each alarm as one of {allowed}."),
    "forecast_being_worked_out": _("This cooling unit's first readings are being worked out. Ask again in a minute."),
    "forecast_unknown": _("This cooling unit was never read."),
    # In a unit's history
    "history_cooling_readings_recorded": _("Readings of the cooling unit were recorded: {count}."),
}
CONSTRAINTS = {"cooling_reading_once": "cooling_reading_on_record"}
