"""The tables of what the carrier owns, one file for each noun."""

from fleet.models.carrier import Carrier, Policy, Site
from fleet.models.couplings import Coupling, CouplingMember, Mounting
from fleet.models.feeds import FeedToken
from fleet.models.history import HistoryContent, HistoryEntry, UnitChain
from fleet.models.keeping import Deletion, FileRemoval, LegalHold, Restore
from fleet.models.meters import MeterReading, MeterReplacement
from fleet.models.notices import Delivery, Notice
from fleet.models.on_call import OnCallTurn
from fleet.models.papers import Document, StoredFile
from fleet.models.people import DeviceToken, Person, PersonRole, Qualification, SignInAttempt
from fleet.models.requests import IdempotencyRecord
from fleet.models.signatures import Signature
from fleet.models.sweeps import PassedOver, QueueReport, SweepPlace, SweepRun
from fleet.models.units import Axle, CoolingUnitDetails, TractorDetails, TrailerDetails, Unit
from fleet.models.webhooks import WebhookEndpoint

__all__ = [
    "Axle",
    "Carrier",
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
    "LegalHold",
    "MeterReading",
    "MeterReplacement",
    "Mounting",
    "Notice",
    "OnCallTurn",
    "PassedOver",
    "Person",
    "PersonRole",
    "Policy",
    "Qualification",
    "QueueReport",
    "Restore",
    "SignInAttempt",
    "Signature",
    "Site",
    "StoredFile",
    "SweepPlace",
    "SweepRun",
    "TractorDetails",
    "TrailerDetails",
    "Unit",
    "UnitChain",
    "WebhookEndpoint",
]
