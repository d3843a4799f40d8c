"""The sentences of notices, and the subjects of the messages that carry one. Holds no logic.

A code's subject is registered as the same code with `_subject` behind it and names the same facts.
"""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Wording

SUBJECT = "_subject"

MESSAGES: Messages = {
    # Facts: unit, hold (its number), what, reported_by, at.
    "hold_placed": _(
        "Hold {hold} stands on unit {unit}: {what}. Reported by {reported_by}, {at}. "
        "The unit is not to be moved until the hold is lifted."
    ),
    "hold_placed_subject": _("Hold {hold} on unit {unit}"),
    # Facts: minutes, what (the message that nobody answered).
    "record_passed_over": _("{sweep} cannot work on record {record} and passes over it: {fault}"),
    "unanswered": _("Not acknowledged by anyone for {minutes} minutes. {what}"),
    "unanswered_subject": _("Not acknowledged: {what}"),
    # Facts: what (the notice, of what has ended meanwhile).
    "notice_ended": _("No longer so: {what}"),
    # Facts: days, what (the reminder of a late paper that nobody answered).
    "unanswered_days": _("Not acknowledged by anyone for {days} days. {what}"),
    # The message around them
    "letter_greeting": _("Good day, {name},"),
    "letter_urgent": _("this cannot wait:"),
    "letter_digest": _("these are the notices since your last digest:"),
    "letter_more": _("Further notices on your list: {count}."),
    "letter_group_happened": _("What happened"),
    "letter_group_unanswered": _("Not acknowledged by those told first"),
    "letter_group_overdue": _("Papers out of date"),
    "letter_group_missing": _("Papers missing"),
    "letter_group_in_grace": _("Papers in grace"),
    "letter_group_ending": _("Papers ending"),
    "letter_please": _("Please acknowledge on your list of notices that you have seen this."),
    "letter_caution": _(
        "The carrier's qualified people, the officer at the roadside and local law decide. "
        "This service never says that a vehicle is safe."
    ),
    "letter_digest_subject": _("Notices on {day}: {count}"),
    "letter_several_subject": _("{first}, and {others} more"),
    # What answering a notice is refused with
    "notice_unknown": Wording(_("There is no such notice for you."), _("No such notice")),
    "notice_never_snoozed": Wording(
        _("A notice of a hold, an officer's order or a load at risk can be acknowledged, not put off."),
        _("Not to be put off"),
    ),
    "delivery_unknown": _("There is no such message."),
    "delivery_not_parked": _("The message is not parked: it is on its way or has left."),
    "notice_acknowledged": Wording(_("The notice is acknowledged already."), _("Acknowledged already")),
    "snooze_reason_missing": Wording(_("Say why it is put off."), _("Reason missing")),
    "snooze_not_later": Wording(_("It can be put off to a day after {today}."), _("Day not later")),
    "snooze_too_long": Wording(_("It can be put off to {latest} at the latest."), _("Too long")),
}
