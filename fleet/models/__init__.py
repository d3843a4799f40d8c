"""The tables of what the carrier owns, one file for each noun."""

from fleet.models.carrier import Carrier, OnCallShift, Policy, Site
from fleet.models.cooling import CoolingForecast, CoolingReading
from fleet.models.documents import Document, FeedToken, StoredFile
from fleet.models.notifications import Delivery, Notification, WebhookEndpoint
from fleet.models.operation import JobPlace, JobRun, QueueReport, SkippedRecord
from fleet.models.people import DeviceToken, Person, PersonRole, Qualification, Signature, SignInAttempt
from fleet.models.records import (
    Deletion,
    FileRemoval,
    HistoryContent,
    HistoryEntry,
    IdempotencyRecord,
    LegalHold,
    Restore,
    UnitChain,
)
from fleet.models.units import (
    Axle,
    CoolingUnitDetails,
    Coupling,
    CouplingMember,
    MeterReading,
    MeterReplacement,
    Mounting,
    TractorDetails,
    TrailerDetails,
    Unit,
    Whereabouts,
)

__all__ = [
    "Axle",
    "Carrier",
    "CoolingForecast",
    "CoolingReading",
    "CoolingUnitDetails",
    "Coupling",
    "CouplingMember",
    "Deletion",
    "Delivery",
    "DeviceToken",
    "Document",
    "FeedToken",
    "FileRemoval",
    "HistoryContent",
    "HistoryEntry",
    "IdempotencyRecord",
    "JobPlace",
    "JobRun",
    "LegalHold",
    "MeterReading",
    "MeterReplacement",
    "Mounting",
    "Notification",
    "OnCallShift",
    "Person",
    "PersonRole",
    "Policy",
    "Qualification",
    "QueueReport",
    "Restore",
    "SignInAttempt",
    "Signature",
    "Site",
    "SkippedRecord",
    "StoredFile",
    "TractorDetails",
    "TrailerDetails",
    "Unit",
    "UnitChain",
    "WebhookEndpoint",
    "Whereabouts",
]
