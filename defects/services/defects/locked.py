"""One defect under its unit's lock: how every move of a defect begins, and how it is written down."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, NotFound, PreconditionFailed
from defects.enums import OPEN_DEFECT_STATES, CertificateKind, HoldKind, Severity
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.points import Point
from defects.selectors.catalogue import catalogue_in_force
from defects.selectors.companions import trailers_beside
from defects.selectors.defects import with_shown_version
from defects.selectors.words import faults_named, names_of_defect
from defects.services.histories import record_placed
from defects.services.loads_at_risk import open_for_fresh_faults
from defects.services.telling import tell_of_holds
from defects.transitions import DEFECTS
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


@contextmanager
def locked_defect(
    *, defect_id: UUID, version: int | None, actor: Person, now: datetime
) -> Iterator[tuple[UnitOfWork, Defect]]:
    """Lock a defect's unit, and the trailer it is mounted on, and read the defect, until the unit of work ends.

    NotFound `defect_unknown`; PreconditionFailed `version_changed` unless `version` is that of the page seen.
    """
    with locked_defect_as_it_is(defect_id=defect_id, actor=actor, now=now) as (work, defect):
        shown: int = defect.shown_version  # type: ignore[attr-defined]  # annotated by the selector
        if version != shown:
            raise PreconditionFailed("version_changed", current_version=shown)
        yield work, defect


@contextmanager
def locked_defect_as_it_is(*, defect_id: UUID, actor: Person, now: datetime) -> Iterator[tuple[UnitOfWork, Defect]]:
    """The same whatever the defect's version, for a fact that is told of it. NotFound `defect_unknown`."""
    unit = Defect.objects.filter(pk=defect_id).values_list("unit_id", flat=True).first()
    if unit is None:
        raise NotFound("defect_unknown")
    with unit_of_work([unit], beside=trailers_beside, actor=actor, now=now) as work:
        yield work, read_locked(defect_id)


def read_locked(defect_id: UUID) -> Defect:
    """A defect whose unit the caller has locked."""
    rows = Defect.objects.select_related("unit", "unit__home_site", "current_certificate")
    return with_shown_version(rows).get(pk=defect_id)


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


def end_deferral(work: UnitOfWork, defect: Defect) -> None:
    """A certificate of "repair unnecessary" no longer covers the defect; nothing happens where none does."""
    certificate = defect.current_certificate
    if certificate is not None and certificate.kind == CertificateKind.REPAIR_UNNECESSARY:
        work.follow(DEFECTS, defect, "end_deferral")
        defect.current_certificate = None


def hold_if_grave(work: UnitOfWork, defect: Defect, reason: str) -> list[Hold]:
    """Place the carrier's hold for a defect that says do not move, unless it stands already, and tell of it."""
    if defect.severity != Severity.DO_NOT_MOVE or has_standing_hold(defect):
        return []
    hold = Hold.objects.create(
        unit_id=defect.unit_id,
        kind=HoldKind.CARRIER,
        defect=defect,
        reason=reason,
        placed_at=work.now,
        placed_by=work.actor,
        recorded_at=work.now,
    )
    record_placed(work, [hold], work.now)
    tell_of_holds([hold], units=[defect.unit], catalogue=catalogue_of(work), site=defect.unit.home_site, now=work.now)
    return [hold]


def put_load_at_risk(work: UnitOfWork, defect: Defect) -> None:
    """A cold load under a defect that now bars cold freight is at risk; nothing happens where none is aboard."""
    open_for_fresh_faults([defect], work=work, catalogue=catalogue_of(work))


def has_standing_hold(defect: Defect) -> bool:
    """Whether the carrier's hold for the defect stands."""
    return Hold.objects.filter(defect=defect, kind=HoldKind.CARRIER, lifted_at__isnull=True).exists()


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


def on_standing_order(defect: Defect) -> bool:
    """Whether the defect is on an officer's notice whose order still stands on the unit."""
    if defect.roadside_id is None:
        return False
    standing = Hold.objects.filter(kind=HoldKind.OFFICER, unit=defect.unit_id, lifted_at__isnull=True)
    return standing.filter(roadside__violations__defect=defect).exists()
