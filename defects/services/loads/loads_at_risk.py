"""Records of loads at risk written up, and ended by what becomes of the food. Opening one is `at_risk`."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from common.clock import refuse_early, refuse_future
from common.errors import FieldProblem, Invalid, NotAllowed, or_not_found
from common.versions import require_version
from defects.enums import RiskEntryKind
from defects.models import LoadAtRisk, RiskEntry
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.transitions import LOADS_AT_RISK
from fleet.enums import Scope, SignaturePurpose
from fleet.models import Person
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


def enter(*, risk_id: UUID, note: Note, actor: Person, now: datetime) -> RiskEntry:
    """Write down a reading, a call or a decision. It is never changed.

    NotFound `load_at_risk_unknown`; Invalid `reading_without_temperature`, `instant_in_future`; those of the table.
    """
    with _locked(risk_id, actor, now) as (work, risk):
        work.move(LOADS_AT_RISK, risk, f"add_{note.kind}", note.given)
        refuse_future(note.at, now, "/at")
        refuse_early(note.at, risk.trailer.known_from, "/at")
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
        instant = instant_of(signing, now, since=risk.opened_at)
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


@contextmanager
def _locked(risk_id: UUID, actor: Person, now: datetime) -> Iterator[tuple[UnitOfWork, LoadAtRisk]]:
    trailer = or_not_found(
        LoadAtRisk.objects.filter(pk=risk_id).values_list("trailer_id", flat=True).first(), "load_at_risk_unknown"
    )
    with unit_of_work([trailer], actor=actor, now=now) as work:
        yield work, LoadAtRisk.objects.get(pk=risk_id)
