"""Which units stand with the ones named, by mounting or coupling: what a writer must lock as well."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Case, CharField, Q, QuerySet, Value, When

from common.compiled import INSTANT, KEYS, Compiled, Given, KeyIn
from fleet.enums import CouplingState, MountingState
from fleet.models import CouplingMember, Mounting

UNITS, AT = Given("units", KEYS), Given("at", INSTANT)


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


def all_beside() -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of all that `companions_of` would name for `units` and `at`, as queries to lock by."""
    return (*mounted_beside(), _coupled().values_list("unit_id", flat=True))


def mounted_beside() -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of the trailers and cooling units that `units` are mounted with."""
    mounted = _mounted()
    return mounted.values_list("trailer_id", flat=True), mounted.values_list("cooling_unit_id", flat=True)


def trailers_beside() -> tuple[QuerySet[Any, UUID], ...]:
    """The keys of the trailers that the cooling units among `units` are mounted on."""
    return (_mounted().values_list("trailer_id", flat=True),)


def companions_of(units: Iterable[UUID], at: datetime) -> Companions:
    """The mountings of the units now, and the members of their couplings at or after an instant, in one statement."""
    rows = _compiled().fetch(units=list(units), at=at)
    return Companions(
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
    standing = Case(
        When(span__startswith__gt=AT, then=Value("later")),
        default=Value(CouplingState.COUPLED),
        output_field=CharField(),
    )
    coupled = _coupled().values_list("coupling_id", "unit_id", standing)
    return Compiled(mounted.union(coupled))


def _mounted() -> QuerySet[Mounting]:
    either = Q(KeyIn("trailer_id", UNITS)) | Q(KeyIn("cooling_unit_id", UNITS))
    return Mounting.objects.filter(either, span__upper_inf=True).order_by()


def _coupled() -> QuerySet[CouplingMember]:
    named = CouplingMember.objects.filter(KeyIn("unit_id", UNITS))
    touched = named.filter(Q(span__contains=AT) | Q(span__startswith__gt=AT))
    return CouplingMember.objects.filter(coupling_id__in=touched.values("coupling_id")).order_by()
