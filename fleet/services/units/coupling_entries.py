"""The rows of couplings and what they say in the history of each unit; when to write them is said beside it."""

from collections.abc import Collection, Iterable
from datetime import datetime
from uuid import UUID

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import Func, Value

from fleet.models import Coupling, CouplingMember
from fleet.services.records.unit_of_work import UnitOfWork


def open_coupling(work: UnitOfWork, coupling: Coupling, units: Collection[UUID]) -> Coupling:
    """Save a new coupling of locked units that are free for its whole span, and note it in their history."""
    coupling.save(force_insert=True)
    span = DateTimeTZRange(coupling.started_at, coupling.ended_at)
    ordered = sorted(units)
    CouplingMember.objects.bulk_create(CouplingMember(coupling=coupling, unit_id=unit, span=span) for unit in ordered)
    for unit in ordered:
        work.record(
            unit,
            "coupled",
            subject=coupling.pk,
            performed_at=coupling.started_at,
            body={"units": ordered, "took_over": coupling.took_over},
        )
    return coupling


def end_couplings(work: UnitOfWork, members: Iterable[CouplingMember], at: datetime, *, taken_over: bool) -> None:
    """End the couplings of these parts, all their units locked, before an instant, and note it in their history."""
    parts = list(members)
    couplings = {row.coupling_id for row in parts}
    CouplingMember.objects.filter(coupling_id__in=couplings).update(
        span=Func(Func("span", function="lower"), Value(at), function="tstzrange")
    )
    flags = {"taken_over": True} if taken_over else {}
    Coupling.objects.filter(pk__in=couplings).update(ended_at=at, **flags)
    for row in parts:
        work.record(
            row.unit_id,
            "uncoupled",
            subject=row.coupling_id,
            performed_at=at,
            body={"units": sorted(m.unit_id for m in parts if m.coupling_id == row.coupling_id), **flags},
        )
