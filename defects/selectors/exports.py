"""What defects gives out: all that drivers found, and what came of it, for those who keep the records."""

from collections.abc import Sequence

from defects import models
from fleet.selectors.exports.registry import add_tables
from fleet.selectors.exports.tables import KEEPERS_OF_RECORDS, ExportTable, model_table

NOT_GIVEN_OUT = frozenset[str]()


def tables() -> Sequence[ExportTable]:
    """Return the tables of this app."""
    given = {
        "catalogue-versions": models.CatalogueVersion,
        "walkarounds": models.Walkaround,
        "reports": models.Report,
        "measurements": models.Measurement,
        "photos": models.Photo,
        "defects": models.Defect,
        "sightings": models.Sighting,
        "holds": models.Hold,
        "certificates": models.Certificate,
        "driver-reviews": models.DriverReview,
        "refusals": models.Refusal,
        "second-looks": models.SecondLook,
        "yard-moves": models.YardMove,
        "limited-moves": models.LimitedMove,
        "loads": models.Load,
        "loads-at-risk": models.LoadAtRisk,
        "load-at-risk-entries": models.RiskEntry,
        "clearances": models.Clearance,
        "answer-flips": models.AnswerFlip,
        "standing-bars": models.StandingBar,
        "roadside-inspections": models.RoadsideInspection,
        "roadside-violations": models.RoadsideViolation,
    }
    return [model_table(name, KEEPERS_OF_RECORDS, model) for name, model in given.items()]


add_tables(tables())
