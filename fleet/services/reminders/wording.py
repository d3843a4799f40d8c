"""The facts of reminders as the database stores them: JSON texts that the statements add whose paper it is to."""

import json

from common.messages import Message
from fleet.notice_texts.facts import stored_facts
from fleet.notice_texts.papers import kind_code
from fleet.rules.documents import PaperNeed
from fleet.services.reminders.rungs import Rung


def rung_facts(rung: Rung) -> str:
    """What every paper of a rung is told with: its kind, its own end, its last day, and the days to or from it."""
    reminder = rung.reminder
    return json.dumps(
        stored_facts(
            {
                "paper": Message(kind_code(rung.kind)),
                "own_end": reminder.own_end,
                "ends_on": reminder.last_day,
                "days": reminder.days,
            }
        )
    )


def paper_needed(need: PaperNeed) -> Message:
    """The name of a paper that there should be, with its State where it is given by one."""
    paper = Message(kind_code(need.kind.name))
    return Message("papers_state", {"paper": paper, "state": need.state}) if need.state else paper


def missing_facts(need: PaperNeed) -> str:
    """What a paper is told with where there is none."""
    return json.dumps(stored_facts({"paper": paper_needed(need)}))
