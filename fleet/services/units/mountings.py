"""Mountings: a cooling unit set on a trailer, and taken off it."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import Q

from common.clock import refuse_end_before, refuse_future
from common.errors import Conflict, Invalid, or_not_found
from fleet.enums import UnitKind
from fleet.models import Mounting, Person, Unit
from fleet.selectors.units.combinations import mounting_state
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work
from fleet.transitions import MOUNTING


def mount(*, trailer_id: UUID, cooling_unit_id: UUID, started_at: datetime, actor: Person, now: datetime) -> Mounting:
    """Record that a cooling unit sits on a trailer from an instant on.

    Invalid `not_a_trailer`, `not_a_cooling_unit`, `instant_in_future`; Conflict `unit_retired`, `already_mounted`.
    """
    with unit_of_work([trailer_id, cooling_unit_id], actor=actor, now=now) as work:
        refuse_future(started_at, now, "/started_at")
        trailer, cooling_unit = get_unit(trailer_id), get_unit(cooling_unit_id)
        refuse_unfit(trailer, cooling_unit)
        taken = Mounting.objects.filter(Q(trailer_id=trailer_id) | Q(cooling_unit_id=cooling_unit_id))
        if taken.filter(lasting_after(started_at)).exists():
            raise Conflict("already_mounted")
        return record_mountings(work, [(trailer_id, cooling_unit_id, started_at)])[0]


def dismount(*, mounting_id: UUID, ended_at: datetime, actor: Person, now: datetime) -> Mounting:
    """Record that the cooling unit was taken off.

    NotFound `mounting_unknown`, Conflict `action_not_allowed`, Invalid `instant_in_future`, `end_before_beginning`.
    """
    units = or_not_found(
        Mounting.objects.filter(pk=mounting_id).values_list("trailer_id", "cooling_unit_id").first(), "mounting_unknown"
    )
    with unit_of_work(units, actor=actor, now=now) as work:
        mounting = Mounting.objects.get(pk=mounting_id)
        MOUNTING.resolve("dismount", mounting_state(mounting), actor.current_roles, {"ended_at": ended_at})
        refuse_future(ended_at, now, "/ended_at")
        refuse_end_before(ended_at, mounting.span.lower, "/ended_at")
        mounting.span = DateTimeTZRange(mounting.span.lower, ended_at)
        mounting.save(update_fields=["span"])
        _note(work, "dismounted", mounting, ended_at)
        return mounting


def lasting_after(instant: datetime) -> Q:
    """The mountings that go on beyond an instant."""
    return Q(span__endswith__isnull=True) | Q(span__endswith__gt=instant)


def refuse_unfit(trailer: Unit, cooling_unit: Unit) -> None:
    """Invalid `not_a_trailer`, `not_a_cooling_unit`, Conflict `unit_retired`."""
    for unit, kind in ((trailer, UnitKind.TRAILER), (cooling_unit, UnitKind.COOLING_UNIT)):
        if unit.kind != kind:
            raise Invalid(f"not_a_{kind.value}", pointer=f"/{kind.value}", unit=str(unit))
        refuse_retired(unit)


def record_mountings(work: UnitOfWork, new: Sequence[tuple[UUID, UUID, datetime]]) -> list[Mounting]:
    """Insert mountings of locked units, free from then on: the trailer, the cooling unit, and since when."""
    mountings = Mounting.objects.bulk_create(
        Mounting(
            trailer_id=trailer,
            cooling_unit_id=cooling_unit,
            span=DateTimeTZRange(started_at, None),
            recorded_at=work.now,
            recorded_by=work.actor,
        )
        for trailer, cooling_unit, started_at in new
    )
    for mounting in mountings:
        _note(work, "mounted", mounting, mounting.span.lower)
    return mountings


def _note(work: UnitOfWork, kind: str, mounting: Mounting, at: datetime) -> None:
    body = {"trailer": mounting.trailer_id, "cooling_unit": mounting.cooling_unit_id}
    for unit in (mounting.trailer_id, mounting.cooling_unit_id):
        work.record(unit, kind, subject=mounting.pk, performed_at=at, body=body)
