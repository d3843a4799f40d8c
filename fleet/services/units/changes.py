"""What an edit changes on a unit's rows, told as pairs of before and after for its history."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from uuid import UUID

from fleet.models import Axle, CoolingUnitDetails, TractorDetails, TrailerDetails, Unit
from fleet.rules.units.description import DETAILS, FACTS
from fleet.services.units.details import insert_axles

Axles = Sequence[Mapping[str, object]]
Details = TractorDetails | TrailerDetails | CoolingUnitDetails

AXLE_COLUMNS = tuple(field.attname for field in Axle._meta.concrete_fields if field.name not in {"id", "unit"})  # noqa: SLF001 - Django's documented model API


def apply_changes(unit: Unit, facts: Mapping[str, object]) -> dict[str, object]:
    """Set facts on a locked unit without saving it. KeyError for what is no fact of a unit."""
    _refuse_unknown(facts, FACTS)
    changed: dict[str, object] = {
        name: [getattr(unit, name), value] for name, value in facts.items() if getattr(unit, name) != value
    }
    for name, value in facts.items():
        setattr(unit, name, value)
    return changed


def apply_details(row: Details, kind: str, details: Mapping[str, object]) -> dict[str, object]:
    """Set details on a locked unit's row of them without saving it; KeyError for one that its kind has not."""
    _refuse_unknown(details, DETAILS[kind])
    changed: dict[str, object] = {
        name: [getattr(row, name), value] for name, value in details.items() if getattr(row, name) != value
    }
    for name, value in details.items():
        setattr(row, name, value)
    return changed


def replace_axles(axles: Mapping[UUID, Axles]) -> dict[UUID, list[object]]:
    """Set the axles of locked units anew; return those before and after by unit."""
    present = Axle.objects.filter(unit_id__in=axles)
    before: defaultdict[UUID, list[dict[str, object]]] = defaultdict(list)
    for row in present.order_by("unit_id", "number").values("unit_id", *AXLE_COLUMNS):
        before[row.pop("unit_id")].append(row)
    present.delete()
    insert_axles(axles)
    return {unit: [before[unit], given] for unit, given in axles.items()}


def _refuse_unknown(given: Mapping[str, object], known: frozenset[str]) -> None:
    unknown = set(given) - known
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))
