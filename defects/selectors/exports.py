"""What defects gives out: all that drivers found, and what came of it, for those who keep the records."""

from collections.abc import Mapping, Sequence

from django.db.models import F
from django.db.models.expressions import Combinable

from defects import models
from fleet.selectors.exports.registry import add_tables
from fleet.selectors.exports.tables import KEEPERS_OF_RECORDS, ExportTable, add_names, model_table, unit_name

NOT_GIVEN_OUT = frozenset({"SigningLink"})
"""A link is a way to sign; what was signed by it stands with the certificates."""
UNITS: Mapping[str, Combinable] = {
    "sightings": unit_name("defect__unit"),
    "certificates": unit_name("defect__unit"),
    "repeated-tests": unit_name("defect__unit"),
    "entries-in-error": unit_name("defect__unit"),
    "second-looks": unit_name("refusal__unit"),
    "load-at-risk-entries": unit_name("risk__trailer"),
}
"""The unit that rows without one of their own are about."""


def tables() -> Sequence[ExportTable]:
    """Return the tables of this app."""
    given = {
        "catalogue-versions": models.CatalogueVersion,
        "walkarounds": models.Walkaround,
        "sent-bodies": models.SentBody,
        "reports": models.Report,
        "measurements": models.Measurement,
        "photos": models.Photo,
        "defects": models.Defect,
        "sightings": models.Sighting,
        "holds": models.Hold,
        "certificates": models.Certificate,
        "repeated-tests": models.RepeatedTest,
        "entries-in-error": models.EntryInError,
        "firm-confirmations": models.FirmConfirmation,
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
    units = {name: {"unit": unit} for name, unit in UNITS.items()}
    return [model_table(name, KEEPERS_OF_RECORDS, model, more=units.get(name)) for name, model in given.items()]


add_names({f"defects.{model}": lambda path: F(f"{path}__number") for model in ("defect", "load")})
add_tables(tables())
