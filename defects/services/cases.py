"""One defect under its unit's lock: how every move of a defect begins, and how it is written down."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from common.clock import day_in_zone
from common.errors import Conflict, NotFound, PreconditionFailed
from common.transitions import SYSTEM
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
from fleet.selectors.carrier.policies import Standing, standing_policies
from fleet.services.records.history import Ledger, lock_units


@dataclass
class Case:
    """A defect read under its unit's lock, with what its moves are judged by. `changed` are the fields to save."""

    defect: Defect
    ledger: Ledger
    standing: Standing
    actor: Person
    now: datetime

    @property
    def catalogue(self) -> Catalogue:
        """The catalogue in force."""
        return catalogue_in_force(self.standing.policies)

    @property
    def point(self) -> Point | None:
        """The defect's point; None for a fault told in free text."""
        return self.catalogue.get(self.defect.point)

    def day(self, instant: datetime) -> date:
        """The carrier's calendar day of an instant."""
        return day_in_zone(instant, self.standing.zone)

    def move(self, action: str, given: Collection[str] = ()) -> None:
        """Take the table's row for an action of the actor, or refuse as `TransitionTable.resolve` does."""
        self.defect.state = DEFECTS.resolve(action, self.defect.state, self.actor.current_roles, given).target

    def follow(self, action: str) -> None:
        """Take the table's row for what follows by itself."""
        self.defect.state = DEFECTS.resolve(action, self.defect.state, {SYSTEM}).target

    def save(self, *fields: str) -> None:
        """Save the defect's state, version and these fields."""
        self.defect.version += 1
        self.defect.save(update_fields=["state", "version", *fields])

    def record(self, kind: str, body: Mapping[str, object], performed_at: datetime | None = None) -> None:
        """Note one thing in the unit's history."""
        self.ledger.record(
            self.defect.unit_id,
            kind,
            subject=self.defect.pk,
            performed_at=performed_at or self.now,
            actor=self.actor.pk,
            body={"defect": self.defect.number, "fault": names_of_defect(self.defect), **body},
        )

    def finish(self) -> Defect:
        """Write the history and return the defect."""
        self.ledger.write(now=self.now)
        return self.defect


def open_case(*, defect_id: UUID, version: int | None, actor: Person, now: datetime) -> Case:
    """Lock a defect's unit, and the trailer it is mounted on, and read the defect; the caller owns the transaction.

    NotFound `defect_unknown`; PreconditionFailed `version_changed` unless `version` is that of the page seen.
    """
    case = open_case_as_it_is(defect_id=defect_id, actor=actor, now=now)
    shown: int = case.defect.shown_version  # type: ignore[attr-defined]  # annotated by the selector
    if version != shown:
        raise PreconditionFailed("version_changed", current_version=shown)
    return case


def open_case_as_it_is(*, defect_id: UUID, actor: Person, now: datetime) -> Case:
    """The same whatever the defect's version, for a fact that is told of it. NotFound `defect_unknown`."""
    unit = Defect.objects.filter(pk=defect_id).values_list("unit_id", flat=True).first()
    if unit is None:
        raise NotFound("defect_unknown")
    ledger = lock_units([unit], beside=trailers_beside)
    rows = Defect.objects.select_related("unit", "unit__home_site", "current_certificate")
    defect = with_shown_version(rows).get(pk=defect_id)
    return Case(defect, ledger, standing_policies(now=now), actor, now)


def end_deferral(case: Case) -> None:
    """A certificate of "repair unnecessary" no longer covers the defect; nothing happens where none does."""
    certificate = case.defect.current_certificate
    if certificate is not None and certificate.kind == CertificateKind.REPAIR_UNNECESSARY:
        case.follow("end_deferral")
        case.defect.current_certificate = None


def hold_if_grave(case: Case, reason: str) -> list[Hold]:
    """Place the carrier's hold for a defect that says do not move, unless it stands already, and tell of it."""
    defect = case.defect
    if defect.severity != Severity.DO_NOT_MOVE or has_standing_hold(defect):
        return []
    hold = Hold.objects.create(
        unit_id=defect.unit_id,
        kind=HoldKind.CARRIER,
        defect=defect,
        reason=reason,
        placed_at=case.now,
        placed_by=case.actor,
        recorded_at=case.now,
    )
    record_placed(case.ledger, [hold], case.now)
    tell_of_holds([hold], units=[defect.unit], catalogue=case.catalogue, site=defect.unit.home_site, now=case.now)
    return [hold]


def put_load_at_risk(case: Case) -> None:
    """A cold load under a defect that now bars cold freight is at risk; nothing happens where none is aboard."""
    open_for_fresh_faults([case.defect], ledger=case.ledger, catalogue=case.catalogue, actor=case.actor, now=case.now)


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
