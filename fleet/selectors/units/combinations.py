"""Which units run together and which cooling unit sits on which trailer, at an instant."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Case, CharField, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Upper

from common.compiled import INSTANT, KEYS, TEXTS, Compiled, CompiledObjects, KeyIn, Parameter, TextIn
from common.errors import FieldProblem, Invalid
from fleet.enums import CouplingState, MountingState
from fleet.models import Coupling, CouplingMember, Mounting, Unit
from fleet.rules.units.combinations import Span, plan_take_over
from fleet.rules.units.references import parse_reference
from fleet.selectors.units.lookup import by_reference


def mountings_at(units: Iterable[UUID], at: datetime) -> list[Mounting]:
    """The mountings that hold at an instant for any of these trailers or cooling units, in one statement."""
    keys = list(units)
    return list(
        Mounting.objects.filter(Q(trailer_id__in=keys) | Q(cooling_unit_id__in=keys), span__contains=at).order_by("pk")
    )


def members_of_couplings(units: Iterable[UUID], since: datetime) -> list[CouplingMember]:
    """Every part of every coupling in which any of the units takes part at or after an instant, in one statement."""
    touched = CouplingMember.objects.filter(unit_id__in=list(units)).filter(
        Q(span__contains=since) | Q(span__startswith__gt=since)
    )
    return list(
        CouplingMember.objects.filter(coupling_id__in=touched.values("coupling_id"))
        .select_related("coupling")
        .order_by("pk")
    )


def spans_of(members: Iterable[CouplingMember]) -> list[Span]:
    """The parts as plain values."""
    return [Span(row.coupling_id, row.unit_id, row.span.lower, row.span.upper) for row in members]


def units_released_by_take_over(units: Sequence[Unit], at: datetime) -> frozenset[UUID]:
    """The units that leave a coupling when one driver has `units` together at an instant, in one statement.

    Who calls `take_over` must hold the lock of these too, so asks before locking.
    """
    kinds = {unit.pk: unit.kind for unit in units}
    plan = plan_take_over(kinds, spans_of(members_of_couplings(kinds, at)), at)
    return plan.released if plan is not None else frozenset()


def coupling_state(coupling: Coupling) -> CouplingState:
    """Return `coupled` or `ended`."""
    return CouplingState.COUPLED if coupling.ended_at is None else CouplingState.ENDED


def mounting_state(mounting: Mounting) -> MountingState:
    """Return `mounted` or `ended`."""
    return MountingState.MOUNTED if mounting.span.upper is None else MountingState.ENDED


UNITS, AT = Parameter("units", KEYS), Parameter("at", INSTANT)


@dataclass(frozen=True, slots=True)
class Combination:
    """`mounted` holds (trailer, cooling unit) pairs now; `coupled` (coupling, unit) pairs at the instant or after.

    `later` are the couplings that begin only after the instant.
    """

    mounted: frozenset[tuple[UUID, UUID]]
    coupled: frozenset[tuple[UUID, UUID]]
    later: frozenset[UUID] = frozenset()

    @property
    def units(self) -> frozenset[UUID]:
        return frozenset(unit for _, unit in self.coupled) | frozenset(unit for pair in self.mounted for unit in pair)

    @property
    def members(self) -> Mapping[UUID, frozenset[UUID]]:
        """The units of each coupling."""
        couplings = {coupling for coupling, _ in self.coupled}
        return {key: frozenset(unit for coupling, unit in self.coupled if coupling == key) for key in couplings}

    def together(self, units: frozenset[UUID]) -> UUID | None:
        """The only coupling known of, when it holds exactly these units and has begun."""
        couplings = {coupling for coupling, _ in self.coupled}
        held = frozenset(unit for _, unit in self.coupled)
        return next(iter(couplings)) if len(couplings) == 1 and held == units and not self.later else None


def all_beside() -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of all that `combination_of` would name for `units` and `at`, as queries to lock by."""
    return (*mounted_beside(), _coupled().values_list("unit_id", flat=True))


def mounted_beside() -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of the trailers and cooling units that `units` are mounted with."""
    mounted = _mounted()
    return mounted.values_list("trailer_id", flat=True), mounted.values_list("cooling_unit_id", flat=True)


def trailers_beside() -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of the trailers that the cooling units among `units` are mounted on."""
    return (_mounted().values_list("trailer_id", flat=True),)


def combination_of(units: Iterable[UUID], at: datetime) -> Combination:
    """The mountings of the units now, and the members of their couplings at or after an instant, in one statement."""
    rows = _compiled().rows(units=list(units), at=at)
    return Combination(
        mounted=frozenset((first, second) for first, second, kind in rows if kind == MountingState.MOUNTED),
        coupled=frozenset((first, second) for first, second, kind in rows if kind != MountingState.MOUNTED),
        later=frozenset(first for first, _, kind in rows if kind == "later"),
    )


@cache
def _compiled() -> Compiled:
    """The statement, compiled once: every write about units asks it."""
    mounted = _mounted().values_list(
        "trailer_id", "cooling_unit_id", Value(MountingState.MOUNTED, output_field=CharField())
    )
    active = Case(
        When(span__startswith__gt=AT, then=Value("later")),
        default=Value(CouplingState.COUPLED),
        output_field=CharField(),
    )
    coupled = _coupled().values_list("coupling_id", "unit_id", active)
    return Compiled(mounted.union(coupled))


def _mounted() -> QuerySet[Mounting]:
    either = Q(KeyIn("trailer_id", UNITS)) | Q(KeyIn("cooling_unit_id", UNITS))
    return Mounting.objects.filter(either, span__upper_inf=True).order_by()


def _coupled() -> QuerySet[CouplingMember]:
    named = CouplingMember.objects.filter(KeyIn("unit_id", UNITS))
    touched = named.filter(Q(span__contains=AT) | Q(span__startswith__gt=AT))
    return CouplingMember.objects.filter(coupling_id__in=touched.values("coupling_id")).order_by()


def units_of_trip(refs: Sequence[str], *, at: datetime) -> list[Unit]:
    """The units named, in the order named, and after them the cooling units mounted on the trailers among them.

    Invalid `unit_unknown` with a pointer to each stranger.
    """
    rows = named_statement().fetch(**keys_and_numbers(refs), at=at)
    chosen = chosen_among(refs, rows)
    strangers = [index for index, unit in enumerate(chosen) if unit is None]
    if strangers:
        raise Invalid("unit_unknown", problems=[FieldProblem(f"/units/{index}", "unit_unknown") for index in strangers])
    return with_mounted([unit for unit in chosen if unit is not None], rows)


@cache
def named_statement() -> CompiledObjects[Unit]:
    """The statement for units by key and by number, whoever owns them, and for what is mounted on them."""
    return CompiledObjects(
        named_with_mounted(Mounting.objects.filter(span__contains=Parameter("at", INSTANT))), also=("mounted_on",)
    )


def named_with_mounted(mounted: QuerySet[Mounting]) -> QuerySet[Unit]:
    """The units of `keys` and `numbers` and the cooling units on them, with the trailer that each is `mounted_on`."""
    keys = named_units().values("pk")
    # By UNION, since what is joined by OR to another table is looked for in every row.
    together = keys.union(mounted.filter(trailer_id__in=keys).values("cooling_unit_id"))
    on = Subquery(mounted.filter(cooling_unit_id=OuterRef("pk")).values("trailer_id")[:1])
    return Unit.objects.filter(pk__in=together).annotate(mounted_on=on).order_by("kind", "number", "pk")


def named_units() -> QuerySet[Unit]:
    """The units of `keys` and `numbers` alone."""
    named = Q(KeyIn("pk", Parameter("keys", KEYS))) | Q(
        TextIn("number_upper", Parameter("numbers", TEXTS)), retired_on=None
    )
    return Unit.objects.annotate(number_upper=Upper("number")).filter(named)


def keys_and_numbers(refs: Iterable[str]) -> dict[str, list[object]]:
    """What such a statement is given for references."""
    wanted = [ref for ref in map(parse_reference, refs) if ref is not None]
    return {
        "keys": [ref.key for ref in wanted if ref.key is not None],
        "numbers": [ref.number for ref in wanted if ref.key is None],
    }


def chosen_among(refs: Iterable[str], rows: Sequence[Unit]) -> list[Unit | None]:
    """What each reference names among the rows of such a statement."""
    found = by_reference(rows)
    return [None if ref is None else found.get(ref) for ref in map(parse_reference, refs)]


def with_mounted(chosen: Sequence[Unit], rows: Iterable[Unit]) -> list[Unit]:
    """The units and, after them, the cooling units on the trailers among them."""
    keys = [unit.pk for unit in chosen]
    mounted = [unit for unit in rows if unit.mounted_on in keys]  # type: ignore[attr-defined]  # annotated
    return [*chosen, *(unit for unit in mounted if unit.pk not in keys)]
