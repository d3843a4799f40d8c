"""What an edit changes on a unit's rows, told as pairs of before and after for its history."""

from collections.abc import Mapping, Sequence
from uuid import UUID

from fleet.models import Axle, Unit
from fleet.rules.unit_facts import DETAILS, FACTS
from fleet.services.unit_rows import DETAIL_TABLES, insert_axles

AXLE_COLUMNS = tuple(field.attname for field in Axle._meta.concrete_fields if field.name not in {"id", "unit"})  # noqa: SLF001


def apply_changes(unit: Unit, facts: Mapping[str, object]) -> dict[str, object]:
    """Set facts on a locked unit without saving it. KeyError for what is no fact of a unit."""
    _refuse_unknown(facts, FACTS)
    changed: dict[str, object] = {
        name: [getattr(unit, name), value] for name, value in facts.items() if getattr(unit, name) != value
    }
    for name, value in facts.items():
        setattr(unit, name, value)
    return changed


def update_details(unit: Unit, details: Mapping[str, object]) -> dict[str, object]:
    """Save details of a locked unit's kind; KeyError for one that its kind has not."""
    _refuse_unknown(details, DETAILS[unit.kind])
    if not details:
        return {}
    row = DETAIL_TABLES[unit.kind].objects.get(pk=unit.pk)
    changed: dict[str, object] = {
        name: [getattr(row, name), value] for name, value in details.items() if getattr(row, name) != value
    }
    for name, value in details.items():
        setattr(row, name, value)
    row.save(update_fields=list(details))
    return changed


def replace_axles(unit: UUID, axles: Sequence[Mapping[str, object]]) -> list[object]:
    """Set the axles of a locked unit anew."""
    present = Axle.objects.filter(unit_id=unit)
    before = list(present.order_by("number").values(*AXLE_COLUMNS))
    present.delete()
    insert_axles(unit, axles)
    return [before, axles]


def _refuse_unknown(given: Mapping[str, object], known: frozenset[str]) -> None:
    unknown = set(given) - known
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))
