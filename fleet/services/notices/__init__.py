"""Owing notices, answering them, and the sweep that gathers and escalates them. Sending lives in `deliveries`."""

from fleet.services.notices.audience import Audience, people_to_tell
from fleet.services.notices.owe import NoticeDraft, owe_notices

__all__ = ["Audience", "NoticeDraft", "owe_notices", "people_to_tell"]
