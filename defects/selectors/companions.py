"""Which units stand with the ones named, by mounting or coupling, in one statement: what a writer must lock as well."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import CharField, Q, QuerySet, Value

from fleet.models import CouplingMember, Mounting


@dataclass(frozen=True, slots=True)
class Companions:
    """`mounted` holds (trailer, cooling unit) pairs; `coupled` every unit of the couplings a take-over may end."""

    mounted: frozenset[tuple[UUID, UUID]]
    coupled: frozenset[UUID]

    @property
    def units(self) -> frozenset[UUID]:
        """Every unit concerned."""
        return self.coupled | frozenset(unit for pair in self.mounted for unit in pair)


def companions_of(units: Iterable[UUID], at: datetime) -> Companions:
    """The mountings of the units now, and the members of their couplings at or after an instant."""
    wanted = list(units)
    touched = CouplingMember.objects.filter(unit_id__in=wanted).filter(
        Q(span__contains=at) | Q(span__startswith__gt=at)
    )
    coupled = (
        CouplingMember.objects.filter(coupling_id__in=touched.values("coupling_id"))
        .values_list("unit_id", "unit_id", Value("coupled", output_field=CharField()))
        .order_by()
    )
    rows = list(_mounted(wanted).union(coupled))
    return Companions(
        mounted=frozenset((first, second) for first, second, kind in rows if kind == "mounted"),
        coupled=frozenset(first for first, _, kind in rows if kind == "coupled"),
    )


def mounted_pairs(units: Iterable[UUID]) -> frozenset[tuple[UUID, UUID]]:
    """The (trailer, cooling unit) pairs that stand now for any of the units."""
    return frozenset((trailer, cooling_unit) for trailer, cooling_unit, _ in _mounted(list(units)))


def _mounted(units: list[UUID]) -> QuerySet[Mounting, tuple[UUID, UUID, str]]:
    return (
        Mounting.objects.filter(Q(trailer_id__in=units) | Q(cooling_unit_id__in=units), span__upper_inf=True)
        .values_list("trailer_id", "cooling_unit_id", Value("mounted", output_field=CharField()))
        .order_by()
    )
