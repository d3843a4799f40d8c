"""The section that identifies the unit as 396.3(b)(1) lists it, with what else its carrier has recorded of it."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.db.models import Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.enums import UnitKind
from fleet.messages.units import UNIT_KINDS
from fleet.models import Axle, LegalHold, Unit
from fleet.selectors.carrier.carrier import the_carrier
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.sections import Column, FileScope, Record, Section

_PLAIN = ("number", "owner", "vin", "serial", "make", "model_year", "tire_size", "plate", "plate_state")
_AXLE = ("number", "role", "dual", "brake_type", "actuator", "chamber_type", "stroke_class", "lining", "tire_size")


def read(scope: FileScope) -> Iterator[Record]:
    """One record: the unit, its axles, whoever furnishes it, and what freezes its file."""
    axles = Prefetch("axles", Axle.objects.order_by("number"))
    holds = Prefetch("legal_holds", LegalHold.objects.order_by("placed_at", "pk"))
    units = Unit.objects.select_related("home_site").prefetch_related(axles, holds)
    unit, carrier = units.get(pk=scope.unit.pk), the_carrier()
    yield {
        "id": unit.pk,
        "kind": unit.kind,
        **{name: getattr(unit, name) for name in _PLAIN},
        "home_site": None if unit.home_site is None else unit.home_site.name,
        "in_control_since": unit.in_control_since,
        "retired_on": unit.retired_on,
        "axles": [{name: getattr(axle, name) for name in _AXLE} for axle in unit.axles.all()],
        "carrier": {"name": carrier.name, "usdot_number": carrier.usdot_number, "address": carrier.address},
        "legal_holds": [
            {"cause": hold.cause, "reason": hold.reason, "placed_at": hold.placed_at, "lifted_at": hold.lifted_at}
            for hold in unit.legal_holds.all()
        ],
    }


def rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """A line for each element; what is not recorded says so."""
    missing = _("not recorded")
    sizes = sorted({axle["tire_size"] for axle in record["axles"] if axle["tire_size"]})
    yield _("Kind of unit"), words.label(UNIT_KINDS, record["kind"])
    yield _("Unit number"), record["number"]
    yield _("Make"), record["make"] or missing
    yield _("Serial number (VIN)"), record["vin"] or record["serial"] or missing
    yield _("Model year"), str(record["model_year"] or missing)
    if record["kind"] != UnitKind.COOLING_UNIT:
        yield _("Tire size"), record["tire_size"] or ", ".join(sizes) or missing
        yield _("Plate"), " ".join(filter(None, (record["plate"], record["plate_state"]))) or missing
        yield _("Axles"), "\n".join(_axle(axle) for axle in record["axles"]) or missing
    yield _("Furnished by, where not owned by the carrier"), record["owner"] or _("owned by the carrier")
    yield _("Under the carrier's control since"), record["in_control_since"] or missing
    yield _("Housed or maintained at"), record["home_site"] or missing
    yield _("Retired since"), record["retired_on"] or _("in service")
    for hold in record["legal_holds"]:
        since = words.instant(hold["placed_at"])
        yield _("Legal hold"), f"{since} - {words.instant(hold['lifted_at'])}\n{hold['reason']}"


def _axle(axle: dict[str, Any]) -> str:
    parts = (axle[name] for name in ("role", "brake_type", "actuator", "chamber_type", "stroke_class", "tire_size"))
    return f"{axle['number']}: " + ", ".join(filter(None, parts))


UNIT = Section(
    name="unit",
    place=10,
    title=gettext_lazy("Identity of the unit"),
    source="49 CFR 396.3(b)(1)",
    empty=gettext_lazy("Nothing is recorded."),
    read=read,
    columns=(Column(gettext_lazy("Element"), 0.4), Column(gettext_lazy("As recorded"), 0.6)),
    rows=rows,
)
