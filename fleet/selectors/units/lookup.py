"""Finding units by what people call them."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from django.db.models import Q, QuerySet
from django.db.models.functions import Upper

from common.errors import Conflict, or_not_found
from common.transitions import TransitionTable
from fleet.enums import UnitState
from fleet.models import Unit
from fleet.rules.units.references import UnitReference, parse_reference, reference_of
from fleet.transitions import THIRD_PARTY_UNIT, UNIT


def resolve_units(refs: Iterable[str], *, among: QuerySet[Unit] | None = None) -> Mapping[str, Unit]:
    """The unit each reference names, in one statement however many there are; what names none is absent.

    A reference is a UUID, a bare number (our own unit, upper or lower case) or `number@owner`; a retired unit is
    found by its UUID alone. `among` says what is looked through and what is fetched with it (all units by default).
    """
    wanted = {ref: parsed for ref in refs if (parsed := parse_reference(ref)) is not None}
    if not wanted:
        return {}
    keys = [reference.key for reference in wanted.values() if reference.key is not None]
    numbers = sorted({reference.number for reference in wanted.values() if reference.key is None})
    units = Unit.objects.all() if among is None else among
    named = Q(pk__in=keys) | Q(number_upper__in=numbers, retired_on__isnull=True)
    found = by_reference(units.alias(number_upper=Upper("number")).filter(named))
    return {ref: found[reference] for ref, reference in wanted.items() if reference in found}


def by_reference(units: Iterable[Unit]) -> dict[UnitReference, Unit]:
    """The units by what names them: each by its key, one in service by its number and owner too."""
    rows = list(units)
    numbers = {reference_of(unit.number, unit.owner): unit for unit in rows if unit.retired_on is None}
    return {UnitReference(key=unit.pk): unit for unit in rows} | numbers


def resolve_unit(ref: str, *, among: QuerySet[Unit] | None = None) -> Unit | None:
    """The one unit a reference names, in one statement; None when it names none."""
    return resolve_units((ref,), among=among).get(ref)


def units_named(
    names: Iterable[tuple[str, str]], *, among: QuerySet[Unit] | None = None
) -> Mapping[UnitReference, Unit]:
    """The units in service with these numbers and owners (empty for our own), in one statement."""
    wanted = {reference_of(number, owner) for number, owner in names}
    if not wanted:
        return {}
    units = (Unit.objects.all() if among is None else among).alias(number_upper=Upper("number"))
    rows = units.filter(number_upper__in=sorted({name.number for name in wanted}), retired_on__isnull=True)
    found = {reference_of(unit.number, unit.owner): unit for unit in rows}
    return {name: found[name] for name in wanted if name in found}


def unit_table(unit: Unit) -> TransitionTable:
    """Return the table of a unit's moves: its own for one of others."""
    return UNIT if unit.ours else THIRD_PARTY_UNIT


def unit_state(unit: Unit) -> UnitState:
    """Return `in_service` or `retired`."""
    return UnitState.IN_SERVICE if unit.retired_on is None else UnitState.RETIRED


def get_unit(unit_id: UUID) -> Unit:
    """Return the unit; NotFound `unit_unknown`."""
    return or_not_found(Unit.objects.filter(pk=unit_id).first(), "unit_unknown")


def refuse_retired(unit: Unit) -> None:
    """Conflict `unit_retired` for a unit that is out of service for good."""
    if unit.retired_on is not None:
        raise Conflict("unit_retired", unit=str(unit), retired_on=unit.retired_on)
