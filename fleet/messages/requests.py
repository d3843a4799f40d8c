"""What is refused about instants and days, whatever they are of."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "instant_in_future": _("This time is in the future."),
    "instant_too_early": _("This time is too early. Give one from {earliest}, {year}, on."),
    "date_in_future": _("This date is in the future."),
    "end_before_beginning": _("Too early: it began {beginning}. Give a later time."),
}
