"""Which casing stands at which place of which unit: written when it is mounted, so that its treads are one series."""

from datetime import datetime
from uuid import UUID

from django.db.models import Q

from common.clock import refuse_early, refuse_end_before, refuse_future
from common.errors import Conflict, Invalid, Unavailable
from defects.models import TireMounting
from defects.rules.catalogue.places import is_place_of
from defects.rules.tires import TREAD_POINTS
from defects.selectors.catalogue.catalogue import catalogue_in_force, facts_of_units
from fleet.models import Person
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.services.records.unit_of_work import unit_of_work


def mount_tire(
    *, unit_id: UUID, casing: str, place: str, mounted_at: datetime, actor: Person, now: datetime
) -> TireMounting:
    """Record that a casing, named by its serial, stands at a place from an instant on.

    Where it stood before, and what stood there, ends then. Invalid `tire_place_unknown`, `instant_in_future`,
    `end_before_beginning`; Conflict `unit_retired`, `tire_there_already`; Unavailable `busy` when it moved meanwhile.
    """
    casing = casing.upper()
    open_ones = TireMounting.objects.filter(Q(casing=casing) | Q(unit=unit_id, place=place), removed_at=None)
    units = {unit_id, *open_ones.values_list("unit_id", flat=True)}
    with unit_of_work(units, actor=actor, now=now) as work:
        unit = get_unit(unit_id)
        refuse_retired(unit)
        refuse_future(mounted_at, now, "/mounted_at")
        refuse_early(mounted_at, unit.known_from, "/mounted_at")
        facts = facts_of_units([unit_id], at=now)[unit_id]
        points = [catalogue_in_force(work.in_force.policies).points[name] for name in TREAD_POINTS]
        if not any(unit.kind in point.unit_kinds and is_place_of(place, point, facts) for point in points):
            raise Invalid("tire_place_unknown", pointer="/place", unit=str(unit))
        for row in open_ones.select_related("unit").order_by("pk"):
            if row.unit_id not in work.units:
                raise Unavailable("busy", retry_after=1)
            if (row.casing, row.unit_id, row.place) == (casing, unit_id, place):
                raise Conflict("tire_there_already", casing=casing)
            refuse_end_before(mounted_at, row.mounted_at, "/mounted_at")
            row.removed_at = mounted_at
            row.save(update_fields=["removed_at"])
            body = {"casing": row.casing, "place": row.place}
            work.record(row.unit_id, "tire_removed", subject=row.pk, performed_at=mounted_at, body=body)
        mounting = TireMounting.objects.create(
            unit=unit, casing=casing, place=place, mounted_at=mounted_at, recorded_at=now, recorded_by=actor
        )
        body = {"casing": casing, "place": place}
        work.record(unit_id, "tire_mounted", subject=mounting.pk, performed_at=mounted_at, body=body)
        return mounting
