"""What fleet gives out: everything the carrier owns, its people without their secrets, and the units' histories."""

from collections.abc import Sequence

from django.db.models import F

from fleet import models
from fleet.selectors.records.exports.tables import OFFICE, ExportTable, ExportTables, model_table, unit_name


def own_tables() -> Sequence[ExportTable]:
    return (
        model_table("carrier", OFFICE, models.Carrier),
        model_table("policies", OFFICE, models.Policy),
        model_table("sites", OFFICE, models.Site),
        model_table("people", OFFICE, models.Person, leave_out=frozenset({"password"})),
        model_table("person-roles", OFFICE, models.PersonRole),
        model_table("qualifications", OFFICE, models.Qualification),
        model_table("units", OFFICE, models.Unit),
        model_table("tractor-details", OFFICE, models.TractorDetails),
        model_table("trailer-details", OFFICE, models.TrailerDetails),
        model_table("cooling-unit-details", OFFICE, models.CoolingUnitDetails),
        model_table("axles", OFFICE, models.Axle),
        model_table("couplings", OFFICE, models.Coupling),
        model_table("coupling-members", OFFICE, models.CouplingMember),
        model_table("mountings", OFFICE, models.Mounting),
        model_table("meter-readings", OFFICE, models.MeterReading),
        model_table("meter-replacements", OFFICE, models.MeterReplacement),
        model_table("whereabouts", OFFICE, models.Whereabouts),
        model_table("cooling-readings", OFFICE, models.CoolingReading),
        model_table("cooling-forecasts", OFFICE, models.CoolingForecast),
        model_table("documents", OFFICE, models.Document),
        model_table("files", OFFICE, models.StoredFile),
        model_table("signatures", OFFICE, models.Signature),
        model_table("notifications", OFFICE, models.Notification),
        model_table("deliveries", OFFICE, models.Delivery),
        model_table("on-call-shifts", OFFICE, models.OnCallShift),
        model_table("legal-holds", OFFICE, models.LegalHold),
        model_table("deletions", OFFICE, models.Deletion),
        model_table("restores", OFFICE, models.Restore),
        model_table(
            "history",
            OFFICE,
            models.HistoryEntry,
            more={"body": "content__body", "salt": "content__salt", "retained_until": "content__retained_until"},
        ),
    )


EXPORTS = ExportTables(
    own_tables,
    {
        "fleet.unit": unit_name,
        "fleet.person": lambda path: F(f"{path}__name"),
        "fleet.site": lambda path: F(f"{path}__code"),
    },
)
