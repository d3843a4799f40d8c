"""What a document reminds of on a day, and the facts of its sentence: when it is created, sent or read."""

from common.messages import Message
from fleet.enums import OVERDUE
from fleet.models import Person, Unit
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.qualified import qualification_kinds
from fleet.rules.documents.reminders import Reminder, reminder_now
from fleet.selectors.documents.status import DocumentDay


def reminder_on(day: DocumentDay, kind: DocumentKind, end: PeriodEnd) -> Reminder | None:
    """What a document of a kind that ends so reminds of on a day, as the carrier decides; None when of nothing."""
    return reminder_now(
        end,
        day.today,
        reading=day.reading,
        lead_days=day.lead_times.get(kind.name, kind.lead_days),
        overdue_every_days=kind.overdue_every_days,
        overdue_for_days=kind.overdue_for_days,
    )


def reminder_facts(kind: DocumentKind, reminder: Reminder) -> dict[str, object]:
    """A document's own end, its last day, the days to or from it, and whether it bars."""
    over = reminder.code == OVERDUE
    if kind.name in qualification_kinds():
        code = "qualification_over" if over else "qualification_will_end"
        effect = Message(code, {} if over else {"good_through": reminder.good_through})
    elif not kind.bars_clearance:
        effect = Message("document_bars_nothing")
    elif over:
        effect = Message("document_bars")
    else:
        effect = Message("document_will_bar", {"good_through": reminder.good_through})
    return {"own_end": reminder.own_end, "ends_on": reminder.last_day, "days": reminder.days, "effect": effect}


def whose(holder: Unit | Person | None) -> Message:
    """Whose document it is; None for the carrier's own."""
    if isinstance(holder, Unit):
        return Message("whose_unit", {"unit": str(holder)})
    return Message("whose_carrier") if holder is None else Message("whose_person", {"person": holder.name})
