"""The sentences of notices, and the subjects of the messages that carry one. Holds no logic.

A code's subject is registered as the same code with `_subject` behind it and names the same facts.
"""

from django.utils.translation import gettext_lazy as _

from common.messages import register

SUBJECT = "_subject"

# Facts: unit, hold (its number), what, reported_by, at.
register(
    "hold_placed",
    _(
        "Hold {hold} stands on unit {unit}: {what}. Reported by {reported_by}, {at}. "
        "The unit is not to be moved until the hold is lifted."
    ),
)
register("hold_placed_subject", _("Hold {hold} on unit {unit}"))

# Facts: minutes, what (the message that nobody answered).
register("record_passed_over", _("{sweep} cannot work on record {record} and passes over it: {fault}"))
register("unanswered", _("Not acknowledged by anyone for {minutes} minutes. {what}"))
register("unanswered_subject", _("Not acknowledged: {what}"))

# Facts: what (the notice, of what has ended meanwhile).
register("notice_ended", _("No longer so: {what}"))

# Facts: days, what (the reminder of a late paper that nobody answered).
register("unanswered_days", _("Not acknowledged by anyone for {days} days. {what}"))

# The message around them
register("letter_greeting", _("Good day, {name},"))
register("letter_urgent", _("this cannot wait:"))
register("letter_digest", _("these are the notices since your last digest:"))
register("letter_more", _("Further notices on your list: {count}."))
register("letter_group_happened", _("What happened"))
register("letter_group_unanswered", _("Not acknowledged by those told first"))
register("letter_group_overdue", _("Papers out of date"))
register("letter_group_missing", _("Papers missing"))
register("letter_group_in_grace", _("Papers in grace"))
register("letter_group_ending", _("Papers ending"))
register("letter_please", _("Please acknowledge on your list of notices that you have seen this."))
register(
    "letter_caution",
    _(
        "The carrier's qualified people, the officer at the roadside and local law decide. "
        "This service never says that a vehicle is safe."
    ),
)
register("letter_digest_subject", _("Notices on {day}: {count}"))
register("letter_several_subject", _("{first}, and {others} more"))

# What answering a notice is refused with
register("notice_unknown", _("There is no such notice for you."), title=_("No such notice"))
register(
    "notice_never_snoozed",
    _("A notice of a hold, an officer's order or a load at risk can be acknowledged, not put off."),
    title=_("Not to be put off"),
)
register("delivery_unknown", _("There is no such message."))
register("delivery_not_parked", _("The message is not parked: it is on its way or has left."))
register("notice_acknowledged", _("The notice is acknowledged already."), title=_("Acknowledged already"))
register("snooze_reason_missing", _("Say why it is put off."), title=_("Reason missing"))
register("snooze_not_later", _("It can be put off to a day after {today}."), title=_("Day not later"))
register("snooze_too_long", _("It can be put off to {latest} at the latest."), title=_("Too long"))
