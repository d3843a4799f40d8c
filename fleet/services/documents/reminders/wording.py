"""The facts of reminders: as the database stores them, and as the paper stands on the day they are sent or read."""

import json
from collections.abc import Mapping

from common.canonical import Plain
from common.messages import Message
from fleet.messages.reminders import kind_code
from fleet.rules.documents.kinds import DocumentKind, PaperNeed
from fleet.rules.documents.qualified import qualification_kinds
from fleet.rules.documents.reminders import OVERDUE, Reminder
from fleet.services.notifications.stored_facts import stored_facts


def reminder_facts(kind: DocumentKind, reminder: Reminder) -> Mapping[str, Plain]:
    """A paper's own end, its last day, the days to or from it, and whether it bars."""
    over = reminder.code == OVERDUE
    if kind.name in qualification_kinds():
        code = "qualification_over" if over else "qualification_will_end"
        effect = Message(code, {} if over else {"good_through": reminder.good_through})
    elif not kind.bars_clearance:
        effect = Message("paper_bars_nothing")
    elif over:
        effect = Message("paper_bars")
    else:
        effect = Message("paper_will_bar", {"good_through": reminder.good_through})
    return stored_facts(
        {
            "own_end": reminder.own_end,
            "ends_on": reminder.last_day,
            "days": reminder.days,
            "effect": effect,
        }
    )


def rung_facts(kind: DocumentKind, reminder: Reminder) -> str:
    """What every paper of a rung is told with: its kind, and the above."""
    paper = stored_facts({"paper": Message(kind_code(kind.name))})
    return json.dumps({**paper, **reminder_facts(kind, reminder)})


def paper_needed(need: PaperNeed) -> Message:
    """The name of a paper that there should be, with its State where it is given by one."""
    paper = Message(kind_code(need.kind.name))
    return Message("papers_state", {"paper": paper, "state": need.state}) if need.state else paper


def what_is_missing(need: PaperNeed) -> dict[str, Message]:
    """What a paper is told with where there is none, and whether that bars."""
    effect = "paper_bars" if need.kind.bars_clearance and need.kind.missing_bars else "paper_bars_nothing"
    return {"paper": paper_needed(need), "effect": Message(effect)}


def missing_facts(need: PaperNeed) -> str:
    """The same as the database stores it."""
    return json.dumps(stored_facts(what_is_missing(need)))
