"""Owing notices, answering them, and the sweep that gathers and escalates them. Sending lives in `deliveries`."""

from fleet.services.notices.answer import acknowledge_notice, snooze_notice
from fleet.services.notices.audience import Audience, by_language, people_to_tell
from fleet.services.notices.owe import NoticeDraft, owe_notices
from fleet.services.notices.passing_over import ends_the_sweep, in_batches, passed_over
from fleet.services.notices.recount import Recount, Told, add_recount, as_of_now
from fleet.services.notices.standing import add_ending, note_ended, still_standing
from fleet.services.notices.sweep import Swept, sweep_notices

__all__ = [
    "Audience",
    "NoticeDraft",
    "Recount",
    "Swept",
    "Told",
    "acknowledge_notice",
    "add_ending",
    "add_recount",
    "as_of_now",
    "by_language",
    "ends_the_sweep",
    "in_batches",
    "note_ended",
    "owe_notices",
    "passed_over",
    "people_to_tell",
    "snooze_notice",
    "still_standing",
    "sweep_notices",
]
