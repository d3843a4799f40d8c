"""Which rows the addresses of single things name, and what a list asks for that does not answer without it."""

from collections.abc import Callable, Iterable, Mapping

from django.db.models import Model

from defects import models as defects
from fleet import models as fleet
from fleet.enums import Role, UnitKind
from fleet.selectors.records.exports.tables import tables_for
from workorders import models as workorders

EVERYBODY = frozenset(Role)


def _by(model: type[Model], column: str = "pk") -> Callable[[], Iterable[object]]:
    return lambda: model._default_manager.order_by("pk").values_list(column, flat=True)


def _units(*kinds: UnitKind) -> Callable[[], Iterable[object]]:
    return lambda: fleet.Unit.objects.filter(kind__in=kinds).order_by("pk").values_list("pk", flat=True)


NAMES: Mapping[str, Callable[[], Iterable[object]]] = {
    "clearances/{key}": _by(defects.Clearance),
    "couplings/{key}": _by(fleet.Coupling),
    "defects/{ref}": _by(defects.Defect, "number"),
    "documents/{key}": _by(fleet.Document),
    "documents/{key}/file": lambda: fleet.Document.objects.exclude(file=None).values_list("pk", flat=True),
    "driver-reviews/{key}": _by(defects.DriverReview),
    "exports/{name}.csv": lambda: [table.name for table in tables_for(EVERYBODY)],
    "holds/{ref}": _by(defects.Hold, "number"),
    "labor-entries/{key}": _by(workorders.LaborEntry),
    "legal-holds/{key}": _by(fleet.LegalHold),
    "loads-at-risk/{key}": _by(defects.LoadAtRisk),
    "loads/{ref}": _by(defects.Load, "number"),
    "meter-readings/{key}": _by(fleet.MeterReading),
    "mountings/{key}": _by(fleet.Mounting),
    "outside-repairs/{key}": _by(workorders.OutsideRepair),
    "people/{key}": _by(fleet.Person),
    "qualifications/{key}": _by(fleet.Qualification),
    "refusals/{key}": _by(defects.Refusal),
    "repair-orders/{ref}": _by(workorders.RepairOrder, "number"),
    "repair-tasks/{key}": _by(workorders.RepairTask),
    "reports/{key}": _by(defects.Report),
    "roadside-inspections/{key}": _by(defects.RoadsideInspection),
    "sites/{code}": _by(fleet.Site, "code"),
    "walkarounds/{key}": _by(defects.Walkaround),
    "cooling-units/{ref}": _units(UnitKind.COOLING_UNIT),
    "cooling-units/{ref}/readings": _units(UnitKind.COOLING_UNIT),
    "cooling-units/{ref}/forecast": lambda: (
        fleet.CoolingForecast.objects.filter(unit__kind=UnitKind.COOLING_UNIT)
        .order_by("pk")
        .values_list("pk", flat=True)
    ),
    "tractors/{ref}": _units(UnitKind.TRACTOR),
    "trailers/{ref}": _units(UnitKind.TRAILER),
    **{f"units/{{ref}}{rest}": _units(*UnitKind) for rest in ("", "/file", "/history", "/tires", "/meter-trends")},
}
QUERIES: Mapping[str, Mapping[str, str]] = {
    "walk": {"tractor": "NL-13", "trailer": "LR-46"},
    "yard": {},
    "driver-reviews/pending": {"unit": "LR-46"},
    "audit-rehearsals": {"units": "5", "seed": "7"},
}
