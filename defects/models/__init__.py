"""The tables of what drivers find and what bars a unit, one file for each theme."""

from defects.models.certificates import Certificate, DriverReview, EntryInError, RepeatedTest
from defects.models.clearance import ActiveBar, Clearance, ClearanceChange
from defects.models.defects import Defect, Sighting
from defects.models.holds import Hold, LimitedMove, Refusal, SecondLook, WorkInProgress, YardMove
from defects.models.loads import Load, LoadAtRisk, LoadTemperature, RiskEntry, ScaleTicket
from defects.models.roadside import RoadsideInspection, RoadsideViolation
from defects.models.signing_links import FirmConfirmation, SigningLink
from defects.models.walkarounds import (
    CatalogueVersion,
    Measurement,
    Photo,
    Report,
    SentBody,
    SetAside,
    TireMounting,
    Walkaround,
)

__all__ = [
    "ActiveBar",
    "CatalogueVersion",
    "Certificate",
    "Clearance",
    "ClearanceChange",
    "Defect",
    "DriverReview",
    "EntryInError",
    "FirmConfirmation",
    "Hold",
    "LimitedMove",
    "Load",
    "LoadAtRisk",
    "LoadTemperature",
    "Measurement",
    "Photo",
    "Refusal",
    "RepeatedTest",
    "Report",
    "RiskEntry",
    "RoadsideInspection",
    "RoadsideViolation",
    "ScaleTicket",
    "SecondLook",
    "SentBody",
    "SetAside",
    "Sighting",
    "SigningLink",
    "TireMounting",
    "Walkaround",
    "WorkInProgress",
    "YardMove",
]
