"""One defect under its unit's lock: how every move of a defect begins, and how it is written down."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from uuid import UUID

from django.db.models import F

from common.errors import Conflict, or_not_found
from common.versions import require_version
from defects.enums import OPEN_DEFECT_STATES, HoldKind
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.points import Point
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import faults_named, names_of_defect
from defects.services.loads.at_risk import open_for_fresh_faults
from fleet.models import Person
from fleet.selectors.units.combinations import trailers_beside
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


@contextmanager
def locked_defect(
    *, defect_id: UUID, version: int | None, actor: Person, now: datetime
) -> Iterator[tuple[UnitOfWork, Defect]]:
    """Lock a defect's unit, and the trailer it is mounted on, and read the defect, until the unit of work ends.

    NotFound `defect_unknown`; PreconditionFailed `version_changed`.
    """
    with locked_defect_as_it_is(defect_id=defect_id, actor=actor, now=now) as (work, defect):
        require_version(defect, version)
        yield work, defect


@contextmanager
def locked_defect_as_it_is(*, defect_id: UUID, actor: Person, now: datetime) -> Iterator[tuple[UnitOfWork, Defect]]:
    """The same whatever the defect's version, for a fact that is told of it. NotFound `defect_unknown`."""
    unit = or_not_found(Defect.objects.filter(pk=defect_id).values_list("unit_id", flat=True).first(), "defect_unknown")
    with unit_of_work([unit], beside=trailers_beside, actor=actor, now=now) as work:
        yield work, read_locked(defect_id)


def read_locked(defect_id: UUID) -> Defect:
    """A defect whose unit the caller has locked."""
    rows = Defect.objects.select_related("unit", "unit__home_site", "current_certificate")
    return rows.get(pk=defect_id)


def count_change(defect: Defect) -> None:
    """Raise the version of a defect that was read before its unit was locked: its page shows something new."""
    Defect.objects.filter(pk=defect.pk).update(version=F("version") + 1)


def record_defect(
    work: UnitOfWork, defect: Defect, kind: str, body: Mapping[str, object], performed_at: datetime | None = None
) -> None:
    """Note one thing of a defect in its unit's history."""
    said = {"defect": defect.number, "fault": names_of_defect(defect), **body}
    work.record(defect.unit_id, kind, subject=defect.pk, performed_at=performed_at, body=said)


def catalogue_of(work: UnitOfWork) -> Catalogue:
    """The catalogue in force."""
    return catalogue_in_force(work.in_force.policies)


def point_of(work: UnitOfWork, defect: Defect) -> Point | None:
    """The defect's point; None for a fault told in free text."""
    return catalogue_of(work).get(defect.point)


def put_load_at_risk(work: UnitOfWork, defect: Defect) -> None:
    """A cold load under a defect that now bars cold freight is at risk; nothing happens where none is aboard."""
    open_for_fresh_faults([defect], work=work)


def refuse_second_open_fault(defect: Defect, point: str, place: str) -> None:
    """Conflict `fault_already_open` when another defect of the same fault is open on the unit."""
    if not point:
        return
    other = (
        Defect.objects.filter(unit=defect.unit_id, point=point, place=place, state__in=OPEN_DEFECT_STATES)
        .exclude(pk=defect.pk)
        .first()
    )
    if other is not None:
        raise Conflict("fault_already_open", defect=other.number, faults=faults_named([other]))


def on_active_order(defect: Defect) -> bool:
    """Whether the defect is on an officer's notice whose order still stands on the unit."""
    if defect.roadside_id is None:
        return False
    active = Hold.objects.filter(kind=HoldKind.OFFICER, unit=defect.unit_id, lifted_at__isnull=True)
    return active.filter(roadside__violations__defect=defect).exists()
