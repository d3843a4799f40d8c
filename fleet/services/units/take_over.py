"""A driver who has the units takes them over: what was recorded before ends, and never refuses a walk-around."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from fleet.models import Coupling, Unit
from fleet.rules.units.combinations import plan_take_over
from fleet.selectors.units.couplings import members_of_couplings, spans_of
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.services.units.coupling_entries import end_couplings, open_coupling


class LockSetChanged(Exception):
    """Other units than those locked turned out to be concerned: roll back, lock `missing` as well, and try again."""

    def __init__(self, missing: frozenset[UUID]) -> None:
        super().__init__(f"not locked: {', '.join(sorted(map(str, missing)))}")
        self.missing = missing


@transaction.atomic
def take_over(*, work: UnitOfWork, units: Sequence[Unit], performed_at: datetime) -> Coupling | None:
    """The coupling that holds for `units` at `performed_at`, once one driver had them together then.

    Units recorded in another combination leave it, with all its other units, at that instant, and both couplings are
    flagged; a later recorded coupling of one of them ends the new one. None when the units are no combination and in
    none. Called inside the walk-around's own transaction, whose `work` holds the units and those that
    `units_released_by_take_over` named; LockSetChanged when that has changed meanwhile. The caller ends `work`.
    """
    members = members_of_couplings([unit.pk for unit in units], performed_at)
    plan = plan_take_over({unit.pk: unit.kind for unit in units}, spans_of(members), performed_at)
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
