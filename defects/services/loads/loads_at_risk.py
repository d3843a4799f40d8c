"""Loads at risk: opened by a fault that bars such freight, written up, and ended by what becomes of the food."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import OuterRef, Subquery

from common.errors import FieldProblem, Invalid, NotAllowed, NotFound, Unavailable
from common.versions import require_version
from defects.enums import FREIGHT, RiskEntryKind, RiskState
from defects.models import Defect, Load, LoadAtRisk, RiskEntry
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import names_of_defect
from defects.selectors.loads.loads import KEPT_FROM_FAULTS, ON_BOARD, bars_of
from defects.services.loads.notifications import RiskTold, notify_of_loads_at_risk
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.transitions import LOADS_AT_RISK
from fleet.enums import Scope, SignaturePurpose
from fleet.models import Notification, Person
from fleet.selectors.units.combinations import companions_of
from fleet.services.records.instants import refuse_future
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


@dataclass(frozen=True)
class Note:
    """One entry as given: temperatures in °F, of the air that returns to the cooling unit and inside the product."""

    kind: RiskEntryKind
    at: datetime
    text: str = ""
    return_air_f: Decimal | None = None
    product_f: Decimal | None = None

    @property
    def given(self) -> Mapping[str, object]:
        """The fields that the transition table may ask for."""
        return {"text": self.text.strip()}


@dataclass
class Opened:
    """The records that faults opened, and the notifications owed of them and of those they joined."""

    risks: list[LoadAtRisk] = field(default_factory=list)
    told: list[Notification] = field(default_factory=list)


def open_loads_at_risk(
    defects: Iterable[Defect],
    *,
    fresh: Collection[UUID],
    mounted: Collection[tuple[UUID, UUID]],
    work: UnitOfWork,
    catalogue: Catalogue,
    caused_by: UUID | None = None,
) -> Opened:
    """Open a load at risk for every load under a fault that bars such freight, and tell dispatch and foremen.

    `mounted` are (trailer, cooling unit) pairs; the trailers are locked by `work`. `fresh` are the keys of
    defects that were not known before: such a fault under a load that is at risk already joins its record, is
    told of again, and no decision from before it counts for it. Costs no statement where no defect bars freight,
    else one when no load is concerned. The caller ends the unit of work.
    """
    barring = [defect for defect in defects if defect.bars in FREIGHT]
    trailers = {trailer for defect in barring for trailer in _trailers_of(defect, mounted)}
    if not trailers:
        return Opened()
    told, risks = [], []
    for trailer, load, known in _loads_in(trailers):
        faults = [
            defect
            for defect in barring
            if defect.bars in bars_of(load)
            and trailer in _trailers_of(defect, mounted)
            and (known is None or defect.pk in fresh)
        ]
        if not faults:
            continue
        risk = known or _opened(trailer, load, faults[0], work.actor)
        if known is None:
            risks.append(risk)
        for defect in faults:
            told.append(RiskTold(risk, load, defect, work.actor.name))
            work.record(
                trailer,
                "load_at_risk_opened" if known is None and defect is faults[0] else "load_at_risk_joined",
                subject=risk.pk,
                performed_at=defect.found_at,
                body={"load": load.number, "defect": defect.number, "fault": names_of_defect(defect)},
            )
    LoadAtRisk.objects.bulk_create(risks)
    return Opened(risks, notify_of_loads_at_risk(told, catalogue=catalogue, now=work.now, caused_by=caused_by))


def open_for_fresh_faults(defects: Iterable[Defect], *, work: UnitOfWork, catalogue: Catalogue) -> Opened:
    """Open a load at risk for faults that came to bar freight otherwise than by a walk-around.

    `work` has the locks of their units and of the trailers these are mounted on (`trailers_beside`). Costs no
    statement where no defect bars freight. Unavailable `busy` when a cooling unit was put on another trailer
    while the locks were waited for.
    """
    barring = [defect for defect in defects if defect.bars in FREIGHT]
    if not barring:
        return Opened()
    mounted = companions_of({defect.unit_id for defect in barring}, work.now).mounted
    if any(trailer not in work.units for defect in barring for trailer in _trailers_of(defect, mounted)):
        raise Unavailable("busy", retry_after=1)
    return open_loads_at_risk(
        barring,
        fresh={defect.pk for defect in barring},
        mounted=mounted,
        work=work,
        catalogue=catalogue,
    )


def enter(*, risk_id: UUID, note: Note, actor: Person, now: datetime) -> RiskEntry:
    """Write down a reading, a call or a decision. It is never changed.

    NotFound `load_at_risk_unknown`; Invalid `reading_without_temperature`, `instant_in_future`; those of the table.
    """
    with _locked(risk_id, actor, now) as (work, risk):
        work.move(LOADS_AT_RISK, risk, f"add_{note.kind}", note.given)
        refuse_future(note.at, now, "/at")
        if note.kind == RiskEntryKind.READING and note.return_air_f is None and note.product_f is None:
            raise Invalid(
                "reading_without_temperature",
                problems=[FieldProblem(f"/{name}", "required") for name in ("return_air_f", "product_f")],
            )
        entry = RiskEntry.objects.create(
            risk=risk,
            kind=note.kind,
            at=note.at,
            person=actor,
            text=note.text,
            return_air_f=note.return_air_f,
            product_f=note.product_f,
            recorded_at=now,
        )
        work.save(risk)
        body = {"kind": note.kind, "text": note.text, "return_air_f": note.return_air_f, "product_f": note.product_f}
        work.record(risk.trailer_id, "load_at_risk_entry", subject=risk.pk, performed_at=note.at, body=body)
        return entry


def dispose(
    *, risk_id: UUID, version: int | None, disposition: str, signing: Signing, actor: Person, now: datetime
) -> LoadAtRisk:
    """Sign what becomes of the food (21 CFR 1.908), which ends the record.

    NotFound `load_at_risk_unknown`; PreconditionFailed `version_changed`; those of the table; NotAllowed
    `food_disposition_qualification_needed`, `sign_yourself`; Invalid `signed_in_future`.
    """
    with _locked(risk_id, actor, now) as (work, risk):
        require_version(risk, version)
        work.move(LOADS_AT_RISK, risk, "dispose", {"disposition": disposition.strip(), "signature": signing})
        refuse_another(signing, actor)
        instant = instant_of(signing, now)
        if Scope.FOOD_DISPOSITION not in actor.scopes_on(work.day(now)):
            raise NotAllowed("food_disposition_qualification_needed")
        content = {"load_at_risk": risk.pk, "load": risk.load_id, "disposition": disposition}
        signature = signature_of(signing, purpose=SignaturePurpose.DISPOSITION, content=content, actor=actor, now=now)
        signature.save(force_insert=True)
        risk.disposition, risk.disposed_by = disposition, actor
        risk.disposition_signature, risk.closed_at = signature, instant
        work.save(risk, "state", "disposition", "disposed_by", "disposition_signature", "closed_at")
        work.record(
            risk.trailer_id,
            "load_at_risk_disposed",
            subject=risk.pk,
            performed_at=instant,
            body={"disposition": disposition},
        )
        return risk


def _trailers_of(defect: Defect, mounted: Collection[tuple[UUID, UUID]]) -> set[UUID]:
    """The unit itself, which may be a trailer, and the trailer it is mounted on."""
    return {defect.unit_id, *(trailer for trailer, cooling_unit in mounted if cooling_unit == defect.unit_id)}


def _loads_in(trailers: Collection[UUID]) -> list[tuple[UUID, Load, LoadAtRisk | None]]:
    """The trailers with a load that faults keep out, that load, and its open record if it has one, in one statement."""
    standing = LoadAtRisk.objects.filter(load_id=OuterRef("pk"), state=RiskState.OPEN)
    loads = Load.objects.filter(ON_BOARD, KEPT_FROM_FAULTS, trailer_id__in=trailers).select_related("trailer")
    rows = loads.annotate(risk=Subquery(standing.values("pk")[:1])).order_by("pk")
    return [
        (load.trailer_id, load, None if load.risk is None else LoadAtRisk(pk=load.risk, load=load))
        for load in rows
        if load.trailer_id is not None
    ]


def _opened(trailer: UUID, load: Load, defect: Defect, actor: Person) -> LoadAtRisk:
    since = defect.found_at if load.loaded_at is None else max(defect.found_at, load.loaded_at)
    return LoadAtRisk(trailer_id=trailer, load=load, defect=defect, opened_at=since, opened_by=actor)


@contextmanager
def _locked(risk_id: UUID, actor: Person, now: datetime) -> Iterator[tuple[UnitOfWork, LoadAtRisk]]:
    trailer = LoadAtRisk.objects.filter(pk=risk_id).values_list("trailer_id", flat=True).first()
    if trailer is None:
        raise NotFound("load_at_risk_unknown")
    with unit_of_work([trailer], actor=actor, now=now) as work:
        yield work, LoadAtRisk.objects.get(pk=risk_id)
