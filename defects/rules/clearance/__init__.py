"""May these units roll, with this load, and still be legal and cold on arrival: a pure function over one snapshot."""

from defects.rules.clearance.answer import Clearance, Ending, Facts, FactValue, Reason, Unknown
from defects.rules.clearance.codes import CODES, Code, Meaning
from defects.rules.clearance.evaluate import answer_clearance, answer_yard
from defects.rules.clearance.facts import (
    DefectFact,
    DeferralFact,
    FuelFact,
    HoldFact,
    MeterFact,
    NotReachedFact,
    OthersFact,
    PaperFact,
    RefusalFact,
    RepairedFact,
    ReportFact,
    UnitFacts,
    WalkFact,
)
from defects.rules.clearance.snapshot import (
    REPORT_GROUPS,
    ClearancePolicy,
    DriverFact,
    LoadAtRiskFact,
    LoadFact,
    Snapshot,
    TripFact,
)
from defects.rules.clearance.words import Answer, EndsWhen, HoldBy, ReasonKind, TemperatureClass

__all__ = [
    "CODES",
    "REPORT_GROUPS",
    "Answer",
    "Clearance",
    "ClearancePolicy",
    "Code",
    "DefectFact",
    "DeferralFact",
    "DriverFact",
    "Ending",
    "EndsWhen",
    "FactValue",
    "Facts",
    "FuelFact",
    "HoldBy",
    "HoldFact",
    "LoadAtRiskFact",
    "LoadFact",
    "Meaning",
    "MeterFact",
    "NotReachedFact",
    "OthersFact",
    "PaperFact",
    "Reason",
    "ReasonKind",
    "RefusalFact",
    "RepairedFact",
    "ReportFact",
    "Snapshot",
    "TemperatureClass",
    "TripFact",
    "UnitFacts",
    "Unknown",
    "WalkFact",
    "answer_clearance",
    "answer_yard",
]
