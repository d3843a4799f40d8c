"""The sentences of every code that fleet raises or keeps, one file for each area. Holds no logic."""

from common.messages import Sentences
from fleet.messages import history, keeping, labels, notifications, papers, people, rehearsal, reminders, tables, units

SENTENCES = Sentences(
    (
        history.MESSAGES,
        keeping.MESSAGES,
        notifications.MESSAGES,
        papers.MESSAGES,
        people.MESSAGES,
        rehearsal.MESSAGES,
        reminders.MESSAGES,
        tables.MESSAGES,
        units.MESSAGES,
    ),
    words=labels.WORDS,
    constraints={**papers.CONSTRAINTS, **people.CONSTRAINTS, **units.CONSTRAINTS},
)
