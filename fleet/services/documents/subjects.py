"""Whose paper it is: locking the subject, and who may write about it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, NotAllowed, NotFound
from fleet.enums import Role
from fleet.models import Carrier, Document, Person
from fleet.rules.documents.recording import Subject
from fleet.services.records.edits import lock_row
from fleet.services.records.history import Ledger, lock_units
from fleet.services.units.units import get_unit, refuse_retired
from fleet.signals import papers_recorded

WRITERS = frozenset({Role.COMPLIANCE, Role.ADMINISTRATOR})
WRITERS_OF_UNITS = WRITERS | {Role.FOREMAN, Role.DISPATCH}
"""A unit of others is barred until its papers are recorded, at any hour, so the people on shift may record them."""


@dataclass(frozen=True)
class DocumentSubject:
    """A unit's paper, a person's, or with neither the carrier's."""

    unit_id: UUID | None = None
    person_id: UUID | None = None

    @property
    def columns(self) -> dict[str, UUID | None]:
        """Return the columns of `Document` that say whose it is."""
        return {"unit_id": self.unit_id, "person_id": self.person_id}


@dataclass(frozen=True)
class LockedSubject:
    """A subject whose papers nobody else can change until the transaction ends. `ours`: it is no unit of others."""

    rules: Subject
    ledger: Ledger | None
    ours: bool = True

    def record(self, event: str, document: Document, body: Mapping[str, object], actor: Person, now: datetime) -> None:
        """Announce it and write it into the unit's history; people and the carrier have none."""
        if self.ledger is None or document.unit_id is None:
            return
        self.ledger.record(document.unit_id, event, subject=document.pk, performed_at=now, actor=actor.pk, body=body)
        if says_new_day(event, body):
            papers_recorded.send(
                Document, documents=[document], ledger=self.ledger, actor=actor, now=now, from_table=False
            )
        self.ledger.write(now=now)


def says_new_day(event: str, body: Mapping[str, object]) -> bool:
    """Return whether a history entry is of a paper recorded, or of one whose first day was mended."""
    changed = body.get("changed")
    return event in {"document_recorded", "document_replaced"} or (isinstance(changed, dict) and "starts_on" in changed)


def subject_of(document: Document) -> DocumentSubject:
    """Return whose paper a stored one is."""
    return DocumentSubject(document.unit_id, document.person_id)


def refuse_others_papers(subject: DocumentSubject, actor: Person) -> None:
    """NotAllowed `not_your_documents` for who may not write about this subject."""
    writers = WRITERS if subject.unit_id is None else WRITERS_OF_UNITS
    if writers.isdisjoint(actor.current_roles):
        raise NotAllowed("not_your_documents")


def lock_subject(subject: DocumentSubject) -> LockedSubject:
    """Lock a subject.

    NotFound `unit_unknown`, `person_unknown`, `carrier_missing`; Conflict `unit_retired`, `person_left`.
    """
    if subject.unit_id is not None:
        ledger = lock_units([subject.unit_id])
        unit = get_unit(subject.unit_id)
        refuse_retired(unit)
        return LockedSubject(Subject(unit.kind, model_year=unit.model_year), ledger, ours=not unit.owner)
    if subject.person_id is not None:
        person = lock_row(Person.objects.all(), subject.person_id, "person_unknown")
        if person.left_on is not None:
            raise Conflict("person_left", left_on=person.left_on)
        return LockedSubject(Subject("person"), None)
    carrier = Carrier.objects.select_for_update(no_key=True).first()
    if carrier is None:
        raise NotFound("carrier_missing")
    return LockedSubject(Subject("carrier", usdot_number=carrier.usdot_number), None)
