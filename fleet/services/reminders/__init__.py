"""What papers remind of, owed as notices by a sweep. Bringing it is the digest's work, in `notices`."""

from fleet.services.reminders.sweep import Reminded, remind_of_papers

__all__ = ["Reminded", "remind_of_papers"]
