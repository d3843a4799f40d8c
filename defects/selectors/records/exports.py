"""What defects gives out: all that drivers found, and what came of it, for those who keep the records."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from django.db.models import F, Model
from django.db.models.expressions import Combinable

from defects import models
from defects.models import Defect
from defects.rules.catalogue.closed_sets import Language
from defects.selectors.defects.naming import names_of_defect
from fleet.selectors.records.exports.tables import KEEPERS_OF_RECORDS, ExportTable, ExportTables, model_table, unit_name

UNITS: Mapping[str, Combinable] = {
    "sightings": unit_name("defect__unit"),
    "certificates": unit_name("defect__unit"),
    "repeated-tests": unit_name("defect__unit"),
    "entries-in-error": unit_name("defect__unit"),
    "second-looks": unit_name("refusal__unit"),
    "load-at-risk-entries": unit_name("risk__trailer"),
}
"""The unit that rows without one of their own are about."""
DEFECTS: Mapping[str, str] = {"defects": "", "sightings": "defect__", "holds": "defect__", "certificates": "defect__"}
"""The tables that say in English what a defect is called, by the path to it."""
NAMING = ("point", "place", "text", "finding", "value", "unit_of_measure", "limit_value", "catalogue_id")
"""What a defect's name is made of."""


def tables() -> Sequence[ExportTable]:
    given = {
        "catalogue-versions": models.CatalogueVersion,
        "walkarounds": models.Walkaround,
        "sent-bodies": models.SentBody,
        "reports": models.Report,
        "reports-set-aside": models.SetAside,
        "measurements": models.Measurement,
        "tire-mountings": models.TireMounting,
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
        "load-temperatures": models.LoadTemperature,
        "scale-tickets": models.ScaleTicket,
        "loads-at-risk": models.LoadAtRisk,
        "load-at-risk-entries": models.RiskEntry,
        "clearances": models.Clearance,
        "answer-flips": models.ClearanceChange,
        "active-bars": models.ActiveBar,
        "work-in-progress": models.WorkInProgress,
        "roadside-inspections": models.RoadsideInspection,
        "roadside-violations": models.RoadsideViolation,
    }
    return [_table(name, model) for name, model in given.items()]


def _table(name: str, model: type[Model]) -> ExportTable:
    unit = {"unit": UNITS[name]} if name in UNITS else {}
    if name not in DEFECTS:
        return model_table(name, KEEPERS_OF_RECORDS, model, more=unit)
    naming = {f"defect_{column}": F(f"{DEFECTS[name]}{column}") for column in NAMING}
    table = model_table(name, KEEPERS_OF_RECORDS, model, more={**unit, **naming})
    columns = table.columns[: -len(NAMING)]

    def read() -> Iterator[Sequence[object]]:
        for row in table.rows():
            yield *row[: len(columns)], _called(row[len(columns) :])

    return replace(table, columns=(*columns, "defect_name"), rows=read)


def _called(naming: Sequence[object]) -> str | None:
    """A defect's name in English; none where a row has no defect."""
    known = dict(zip(NAMING, naming, strict=True))
    return None if known["point"] is None else names_of_defect(Defect(**known))[Language.ENGLISH]


EXPORTS = ExportTables(tables, {f"defects.{model}": lambda path: F(f"{path}__number") for model in ("defect", "load")})
