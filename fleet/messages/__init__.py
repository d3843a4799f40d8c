"""The sentences of every code that fleet raises or keeps, each in the room of its noun. Holds no logic."""

from common.messages import Sentences
from fleet.messages import carrier, cooling, imports, notifications, operation, people, records, requests, units
from fleet.messages.documents import documents, reminders

SENTENCES = Sentences(
    (
        carrier.MESSAGES,
        cooling.MESSAGES,
        documents.MESSAGES,
        imports.MESSAGES,
        notifications.MESSAGES,
        operation.MESSAGES,
        people.MESSAGES,
        records.MESSAGES,
        reminders.MESSAGES,
        requests.MESSAGES,
        units.MESSAGES,
    ),
    words={
        "state": {
            **units.STATES,
            **documents.STATES,
            **people.STATES,
            **carrier.STATES,
            **records.STATES,
            **notifications.STATES,
        },
        "known_kind": units.UNIT_KINDS,
        "meter": units.METER_KINDS,
        "location": units.LOCATIONS,
        "mode": units.RUNNING_MODES,
        "kind": reminders.KIND_NAMES,
        "roles": people.ROLES,
        "needs": people.SCOPES,
    },
    constraints={
        **carrier.CONSTRAINTS,
        **cooling.CONSTRAINTS,
        **documents.CONSTRAINTS,
        **people.CONSTRAINTS,
        **units.CONSTRAINTS,
    },
)
