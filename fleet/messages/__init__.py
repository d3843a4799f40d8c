"""The sentences of every code that fleet raises or keeps, one file for each area. Holds no logic."""

from common.messages import Sentences
from fleet.messages import (
    documents,
    history,
    keeping,
    labels,
    notifications,
    people,
    rehearsal,
    reminders,
    tables,
    units,
)

SENTENCES = Sentences(
    (
        history.MESSAGES,
        keeping.MESSAGES,
        notifications.MESSAGES,
        documents.MESSAGES,
        people.MESSAGES,
        rehearsal.MESSAGES,
        reminders.MESSAGES,
        tables.MESSAGES,
        units.MESSAGES,
    ),
    words=labels.WORDS,
    constraints={**documents.CONSTRAINTS, **people.CONSTRAINTS, **units.CONSTRAINTS},
)
