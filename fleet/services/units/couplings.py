"""Couplings: a desk is held to the record, and a driver who has the units takes them over, which never refuses."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import Func, Value

from common.clock import refuse_end_before, refuse_future
from common.errors import Conflict, Invalid, Unavailable, or_not_found
from fleet.enums import Role
from fleet.models import Coupling, CouplingMember, Person, Unit
from fleet.rules.units.combinations import is_combination, plan_take_over
from fleet.selectors.units.combinations import (
    coupling_state,
    members_of_couplings,
    spans_of,
    units_released_by_take_over,
)
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work
from fleet.transitions import COUPLING


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


class LockSetChanged(Exception):
    """Other units than those locked turned out to be concerned: roll back, lock `missing` as well, and try again."""

    def __init__(self, missing: frozenset[UUID]) -> None:
        super().__init__(f"not locked: {', '.join(sorted(map(str, missing)))}")
        self.missing = missing


@transaction.atomic
def take_over(
    *, work: UnitOfWork, units: Sequence[Unit], performed_at: datetime, confirmed: Collection[UUID] = ()
) -> Coupling | None:
    """The coupling that holds for `units` at `performed_at`, once one driver had them together then.

    Units recorded in another combination leave it, with all its other units, at that instant, and both couplings are
    flagged; a later recorded coupling of one of them ends the new one. None when the units are no combination and in
    none, or in one of the couplings `confirmed` after that instant. Called inside the walk-around's own transaction,
    whose `work` holds the units and those that
    `units_released_by_take_over` named; LockSetChanged when that has changed meanwhile. The caller ends `work`.
    """
    members = members_of_couplings([unit.pk for unit in units], performed_at)
    plan = plan_take_over({unit.pk: unit.kind for unit in units}, spans_of(members), performed_at, confirmed)
    if plan is None:
        return None
    if plan.stands is not None:
        return next(row.coupling for row in members if row.coupling_id == plan.stands)
    missing = (plan.released | plan.members) - work.units
    if missing:
        raise LockSetChanged(missing)
    ended = [row for row in members if row.coupling_id in plan.ends]
    if ended:
        end_couplings(work, ended, plan.starts_at, taken_over=True)
    coupling = Coupling(
        started_at=plan.starts_at,
        ended_at=plan.ends_at,
        recorded_at=work.now,
        recorded_by=work.actor,
        took_over=bool(ended),
    )
    return open_coupling(work, coupling, plan.members)


DESK = frozenset({Role.ADMINISTRATOR, Role.DISPATCH, Role.FOREMAN})
ATTEMPTS = 3


@transaction.atomic
def record_coupling(*, units: Sequence[Unit], started_at: datetime, actor: Person, now: datetime) -> Coupling:
    """Record that units run together: by a desk as `couple` does, by a driver as a taking over.

    Invalid `not_a_combination`, `instant_in_future`; Conflict `unit_retired`, and for a desk `unit_coupled_elsewhere`;
    Unavailable `units_moving` when other people keep coupling the same units meanwhile.
    """
    if not DESK.isdisjoint(actor.current_roles):
        return couple(unit_ids=[unit.pk for unit in units], started_at=started_at, actor=actor, now=now)
    refuse_future(started_at, now, "/started_at")
    for _ in range(ATTEMPTS):
        try:
            return _take_over(units, started_at, actor, now)
        except LockSetChanged:
            continue
    raise Unavailable("units_moving", retry_after=1)


def _take_over(units: Sequence[Unit], started_at: datetime, actor: Person, now: datetime) -> Coupling:
    """One attempt; rolling back to its beginning gives the locks back."""
    with unit_of_work(
        {unit.pk for unit in units} | units_released_by_take_over(units, started_at), actor=actor, now=now
    ) as work:
        for unit in units:
            refuse_retired(get_unit(unit.pk))
        coupling = take_over(work=work, units=units, performed_at=started_at)
        if coupling is None:
            raise Invalid("not_a_combination", pointer="/units")
        return coupling


def couple(*, unit_ids: Sequence[UUID], started_at: datetime, actor: Person, now: datetime) -> Coupling:
    """Record that units run together from an instant on.

    Invalid `not_a_combination`, `instant_in_future`; Conflict `unit_retired`, `unit_coupled_elsewhere` with `units`.
    """
    with unit_of_work(unit_ids, actor=actor, now=now) as work:
        refuse_future(started_at, now, "/started_at")
        units = list(Unit.objects.filter(pk__in=unit_ids).order_by("pk"))
        for unit in units:
            refuse_retired(unit)
        if len(units) != len(unit_ids) or not is_combination(unit.kind for unit in units):
            raise Invalid("not_a_combination", pointer="/units")
        taken = {row.unit_id for row in members_of_couplings(unit_ids, started_at)}.intersection(unit_ids)
        if taken:
            elsewhere = [str(unit) for unit in units if unit.pk in taken]
            raise Conflict("unit_coupled_elsewhere", pointer="/units", units=elsewhere)
        coupling = Coupling(started_at=started_at, recorded_at=now, recorded_by=actor)
        open_coupling(work, coupling, unit_ids)
        return coupling


def uncouple(*, coupling_id: UUID, ended_at: datetime, actor: Person, now: datetime) -> Coupling:
    """Record that a combination ended; all its units leave it.

    NotFound `coupling_unknown`, Conflict `action_not_allowed`, Invalid `instant_in_future`, `end_before_beginning`.
    """
    members = list(CouplingMember.objects.filter(coupling_id=coupling_id).order_by("pk"))
    with unit_of_work([row.unit_id for row in members], actor=actor, now=now) as work:
        coupling = or_not_found(Coupling.objects.filter(pk=coupling_id).first(), "coupling_unknown")
        COUPLING.resolve("uncouple", coupling_state(coupling), actor.current_roles, {"ended_at": ended_at})
        refuse_future(ended_at, now, "/ended_at")
        refuse_end_before(ended_at, coupling.started_at, "/ended_at")
        end_couplings(work, members, ended_at, taken_over=False)
        coupling.ended_at = ended_at
        return coupling
