"""The sentences of every code that fleet raises or keeps, one file for each area. Holds no logic."""

from common.messages import Sentences
from fleet.messages import (
    documents,
    history,
    labels,
    notifications,
    people,
    rehearsal,
    reminders,
    retention,
    tables,
    units,
)

SENTENCES = Sentences(
    (
        history.MESSAGES,
        retention.MESSAGES,
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
