"""Which units stand with the ones named, by mounting or coupling: what a writer must lock as well."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Case, CharField, Q, QuerySet, Value, When

from common.compiled import Compiled, Values, compile_query
from common.keys import KeyIn
from fleet.enums import CouplingState, MountingState
from fleet.models import CouplingMember, Mounting


@dataclass(frozen=True, slots=True)
class Companions:
    """`mounted` holds (trailer, cooling unit) pairs now; `coupled` (coupling, unit) pairs at the instant or after.

    `later` are the couplings that begin only after the instant.
    """

    mounted: frozenset[tuple[UUID, UUID]]
    coupled: frozenset[tuple[UUID, UUID]]
    later: frozenset[UUID] = frozenset()

    @property
    def units(self) -> frozenset[UUID]:
        """Every unit concerned."""
        return frozenset(unit for _, unit in self.coupled) | frozenset(unit for pair in self.mounted for unit in pair)

    def together(self, units: frozenset[UUID]) -> UUID | None:
        """The only coupling known of, when it holds exactly these units and has begun."""
        couplings = {coupling for coupling, _ in self.coupled}
        held = frozenset(unit for _, unit in self.coupled)
        return next(iter(couplings)) if len(couplings) == 1 and held == units and not self.later else None


def all_beside(values: Values) -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of all that `companions_of` would name for `units` and `at`, as queries to lock by."""
    return (*mounted_beside(values), _coupled(values["units"], values["at"]).values_list("unit_id", flat=True))


def mounted_beside(values: Values) -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of the trailers and cooling units that `units` are mounted with."""
    mounted = _mounted(values["units"])
    return mounted.values_list("trailer_id", flat=True), mounted.values_list("cooling_unit_id", flat=True)


def trailers_beside(values: Values) -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of the trailers that the cooling units among `units` are mounted on."""
    return (_mounted(values["units"]).values_list("trailer_id", flat=True),)


def companions_of(units: Iterable[UUID], at: datetime) -> Companions:
    """The mountings of the units now, and the members of their couplings at or after an instant, in one statement."""
    rows = _compiled().fetch({"units": list(units), "at": at})
    return Companions(
        mounted=frozenset((first, second) for first, second, kind in rows if kind == MountingState.MOUNTED),
        coupled=frozenset((first, second) for first, second, kind in rows if kind != MountingState.MOUNTED),
        later=frozenset(first for first, _, kind in rows if kind == "later"),
    )


@cache
def _compiled() -> Compiled:
    """The statement, compiled once: every write about units asks it."""
    stand_ins = ({"units": [UUID(int=day)], "at": datetime(9999, 1, day, tzinfo=UTC)} for day in (1, 2))
    return compile_query(_standing_with, *stand_ins)


def _standing_with(values: Values) -> QuerySet[Any, Any]:
    units, at = values["units"], values["at"]
    mounted = _mounted(units).values_list(
        "trailer_id", "cooling_unit_id", Value(MountingState.MOUNTED, output_field=CharField())
    )
    standing = Case(
        When(span__startswith__gt=at, then=Value("later")),
        default=Value(CouplingState.COUPLED),
        output_field=CharField(),
    )
    coupled = _coupled(units, at).values_list("coupling_id", "unit_id", standing)
    return mounted.union(coupled)


def _mounted(units: list[UUID]) -> QuerySet[Mounting]:
    either = Q(KeyIn("trailer_id", units)) | Q(KeyIn("cooling_unit_id", units))
    return Mounting.objects.filter(either, span__upper_inf=True).order_by()


def _coupled(units: list[UUID], at: datetime) -> QuerySet[CouplingMember]:
    named = CouplingMember.objects.filter(KeyIn("unit_id", units))
    touched = named.filter(Q(span__contains=at) | Q(span__startswith__gt=at))
    return CouplingMember.objects.filter(coupling_id__in=touched.values("coupling_id")).order_by()
