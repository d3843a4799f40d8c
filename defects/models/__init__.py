"""The tables of what drivers find and what bars a unit, one file for each theme."""

from defects.models.certificates import Certificate, EntryInError, RepeatedTest
from defects.models.clearance import ActiveBar, Clearance, ClearanceChange
from defects.models.defects import Defect, Sighting
from defects.models.holds import Hold, WorkInProgress
from defects.models.loads import Load, LoadAtRisk, LoadTemperature, RiskEntry
from defects.models.moves import LimitedMove, YardMove
from defects.models.refusals import Refusal, SecondLook
from defects.models.reviews import DriverReview
from defects.models.roadside import RoadsideInspection, RoadsideViolation
from defects.models.signing_links import FirmConfirmation, SigningLink
from defects.models.tires import TireMounting
from defects.models.walkarounds import CatalogueVersion, Measurement, Photo, Report, SentBody, SetAside, Walkaround
from defects.models.weights import ScaleTicket

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
