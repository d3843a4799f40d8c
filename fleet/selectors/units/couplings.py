"""Which units run together and which cooling unit sits on which trailer, at an instant."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from fleet.enums import CouplingState, MountingState
from fleet.models import Coupling, CouplingMember, Mounting, Unit
from fleet.rules.units.combinations import Span, plan_take_over


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
