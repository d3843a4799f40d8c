"""Recording a combination apart from a walk-around: who has the units takes them over, a desk is held to the record."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from common.errors import Invalid, Unavailable
from fleet.enums import Role
from fleet.models import Coupling, Person, Unit
from fleet.selectors.units.couplings import units_released_by_take_over
from fleet.services.records.instants import refuse_future
from fleet.services.records.unit_of_work import unit_of_work
from fleet.services.units.couplings import couple
from fleet.services.units.take_over import LockSetChanged, take_over
from fleet.services.units.units import get_unit, refuse_retired

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
