"""The rows that make up one unit: its own, its details, its axles and its chain. Who may write them lives beside it."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Model

from common.errors import FieldProblem, Invalid
from fleet.enums import UnitKind
from fleet.models import Axle, CoolingUnitDetails, TractorDetails, TrailerDetails, Unit, UnitChain
from fleet.rules.chain import GENESIS
from fleet.rules.unit_facts import DETAILS, FactProblem, axle_problems, fact_problems

DETAIL_TABLES: Mapping[str, type[TractorDetails | TrailerDetails | CoolingUnitDetails]] = {
    UnitKind.TRACTOR: TractorDetails,
    UnitKind.TRAILER: TrailerDetails,
    UnitKind.COOLING_UNIT: CoolingUnitDetails,
}


def refuse_bad_facts(
    kind: str, facts: Mapping[str, object], axles: Sequence[Mapping[str, object]] | None, now: datetime
) -> None:
    """Invalid `unit_refused` with every rule that the facts or axles of a unit break."""
    problems = fact_problems(kind, facts, now.year)
    if axles is not None:
        problems += axle_problems(kind, [(int(str(axle["number"])), str(axle["role"])) for axle in axles])
    raise_problems("unit_refused", problems)


def raise_problems(code: str, problems: Iterable[FactProblem]) -> None:
    """Invalid `code` with a pointer to each problem; nothing when there is none."""
    found = [FieldProblem(f"/{problem.field}", problem.code) for problem in problems]
    if found:
        raise Invalid(code, problems=found)


def insert_unit(
    kind: str,
    facts: Mapping[str, object],
    details: Mapping[str, object],
    axles: Sequence[Mapping[str, object]],
    now: datetime,
) -> tuple[Unit, UnitChain]:
    """A new unit with its rows; its chain is new, so it is locked by nobody else until the transaction ends."""
    unit = Unit.objects.create(kind=kind, recorded_at=now, **facts)
    details_row(unit, details).save(force_insert=True)
    insert_axles(unit.pk, axles)
    return unit, UnitChain.objects.create(unit=unit, head=GENESIS)


def details_row(unit: Unit, details: Mapping[str, object]) -> Model:
    """An unsaved details row of the unit's kind. KeyError for a detail that its kind has not."""
    unknown = set(details) - DETAILS[unit.kind]
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))
    return DETAIL_TABLES[unit.kind](unit=unit, **details)


def insert_axles(unit: UUID, axles: Sequence[Mapping[str, object]]) -> None:
    """The axles of a unit that has none."""
    Axle.objects.bulk_create(Axle(unit_id=unit, **axle) for axle in axles)
