"""Where units are, from when on and how they were left: said by a person, or by a walk-around."""

from dataclasses import dataclass, fields
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from common.clock import refuse_early, refuse_future
from common.errors import Invalid
from fleet.enums import Location, RunningMode
from fleet.models import Person, Site, Whereabouts
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """Where a unit was left, and how; None and empty is what nobody said. `address`: a name or address in words."""

    location: Location
    site: Site | None = None
    address: str = ""
    legs_down: bool | None = None
    doors_closed: bool | None = None
    mode: RunningMode | None = None
    fuel_gal: Decimal | None = None
    seal: str = ""
    note: str = ""


def record_whereabouts(*, unit_id: UUID, left: Left, since: datetime, actor: Person, now: datetime) -> Whereabouts:
    """Record where a unit is from an instant on.

    Invalid `instant_in_future`, `instant_too_early`, `site_required`, `address_required`; Conflict `unit_retired`.
    """
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        unit = get_unit(unit_id)
        refuse_retired(unit)
        refuse_future(since, now, "/since")
        refuse_early(since, unit.known_from, "/since")
        if left.location is Location.SITE and left.site is None:
            raise Invalid("site_required", pointer="/site")
        if left.location not in {Location.SITE, Location.UNDER_WAY} and not left.address:
            raise Invalid("address_required", pointer="/address")
        row = whereabouts_of(unit_id, left, since=since, work=work)
        row.save(force_insert=True)
        site = "" if left.site is None else left.site.code
        body = {"location": left.location, "site": site, "address": left.address}
        work.record(unit_id, "whereabouts_recorded", subject=row.pk, performed_at=since, body=body)
        return row


def whereabouts_of(
    unit_id: UUID, left: Left, *, since: datetime, work: UnitOfWork, walkaround_id: UUID | None = None
) -> Whereabouts:
    """The unsaved row of where a locked unit is from an instant on."""
    said = {field.name: getattr(left, field.name) for field in fields(left)}
    return Whereabouts(
        unit_id=unit_id,
        since=since,
        walkaround_id=walkaround_id,
        recorded_at=work.now,
        recorded_by=work.actor,
        **{**said, "mode": left.mode or ""},
    )
