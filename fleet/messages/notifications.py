"""The sentences of notifications, the subjects of the messages that carry one, and what is refused about them.

A code's subject is registered as the same code with `_subject` behind it and names the same facts.
"""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Template, Wording
from fleet import enums

STATES: dict[str, Template] = {
    enums.DeliveryState.PENDING: _("pending"),
    enums.DeliveryState.PARKED: _("parked"),
    enums.DeliveryState.SENT: _("sent"),
    enums.DeliveryState.DROPPED: _("dropped"),
}
SUBJECT = "_subject"
MESSAGES: Messages = {
    "webhook_unknown": _("There is no such webhook."),
    "webhook_closed": _("This webhook is already closed."),
    "webhook_exists": _("The person has a webhook. Close it first."),
    "webhook_not_https": _("Webhooks need an https address."),
    "webhook_url_malformed": _("Give a full URL with a host and no user, password or fragment."),
    # Facts: unit, hold (its number), what, reported_by, at.
    "hold_placed": _(
        "Unit {unit}, hold {hold}: {what}. Reported by {reported_by}, {at}. Do not move the unit until the "
        "hold is lifted."
    ),
    "hold_placed_subject": _("Hold {hold} on unit {unit}"),
    # Facts: minutes, what (the message that nobody answered).
    "record_skipped": _("{job} skips record {record}: {fault}"),
    "unanswered": _("Not acknowledged for {minutes} minutes. {what}"),
    "unanswered_subject": _("Not acknowledged: {what}"),
    # Facts: what (the notification, of what has ended meanwhile).
    "notification_ended": _("Ended: {what}"),
    # Facts: days, what (the reminder of a late document that nobody answered).
    "unanswered_days": _("Not acknowledged for {days} days. {what}"),
    # The message around them
    "mail_greeting": _("Good day, {name},"),
    "mail_urgent": _("this is urgent:"),
    "mail_summary": _("your notifications since the last summary:"),
    "mail_more": _("More notifications on your list: {count}."),
    "mail_group_happened": _("What happened"),
    "mail_group_unanswered": _("Not acknowledged by its first recipients"),
    "mail_group_overdue": _("Documents expired"),
    "mail_group_missing": _("Documents missing"),
    "mail_group_in_grace": _("Documents in grace"),
    "mail_group_ending": _("Documents expiring"),
    "mail_please": _("Please acknowledge this in your list of notifications."),
    "mail_caution": _(
        "The carrier's qualified people, the officer at the roadside and local law decide. "
        "This service never says that a vehicle is safe."
    ),
    "mail_summary_subject": _("Notifications, {day}: {count}"),
    "mail_several_subject": _("{first}, and {others} more"),
    # What answering a notification is refused with
    "notification_unknown": Wording(_("You have no such notification."), _("No such notification")),
    "notification_never_snoozed": Wording(
        _("Acknowledge this notification. It cannot be snoozed."), _("Cannot be snoozed")
    ),
    "delivery_unknown": _("There is no such message."),
    "notification_acknowledged": Wording(_("The notification is already acknowledged."), _("Already acknowledged")),
    "snooze_reason_missing": Wording(_("Give the reason for the snooze."), _("Reason missing")),
    "snooze_not_later": Wording(_("Snooze it to a day after {today}."), _("Day not later")),
    "snooze_too_long": Wording(_("Snooze it to {latest} at the latest."), _("Too long")),
}
