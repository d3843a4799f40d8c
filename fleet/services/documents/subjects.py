"""Whose document it is: locking the subject, and who may write about it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, NotAllowed, or_not_found
from fleet.enums import Role
from fleet.models import Carrier, Document, Person
from fleet.rules.documents.recording import Subject
from fleet.selectors.units.lookup import get_unit, refuse_retired
from fleet.services.records.edits import lock_row
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work

WRITERS = frozenset({Role.COMPLIANCE, Role.ADMINISTRATOR})
WRITERS_OF_UNITS = WRITERS | {Role.FOREMAN, Role.DISPATCH}
"""A unit of others is barred until its documents are recorded, at any hour, so the people on shift may record them."""


@dataclass(frozen=True)
class DocumentSubject:
    """A unit's document, a person's, or with neither the carrier's."""

    unit_id: UUID | None = None
    person_id: UUID | None = None

    @property
    def columns(self) -> dict[str, UUID | None]:
        """Return the columns of `Document` that say whose it is."""
        return {"unit_id": self.unit_id, "person_id": self.person_id}


def subject_of(document: Document) -> DocumentSubject:
    return DocumentSubject(document.unit_id, document.person_id)


def refuse_third_party_documents(subject: DocumentSubject, actor: Person) -> None:
    """NotAllowed `not_your_documents` for who may not write about this subject."""
    writers = WRITERS if subject.unit_id is None else WRITERS_OF_UNITS
    if writers.isdisjoint(actor.current_roles):
        raise NotAllowed("not_your_documents")


@contextmanager
def locked_subject(
    subject: DocumentSubject, actor: Person, now: datetime
) -> Iterator[tuple[UnitOfWork, Subject, bool]]:
    """Lock a subject: the unit of work, the subject as the rules see it, and whether it is no third-party unit.

    NotFound `unit_unknown`, `person_unknown`, `carrier_missing`; Conflict `unit_retired`, `person_left`.
    """
    with unit_of_work(() if subject.unit_id is None else [subject.unit_id], actor=actor, now=now) as work:
        if subject.unit_id is not None:
            unit = get_unit(subject.unit_id)
            refuse_retired(unit)
            yield work, Subject(unit.kind, model_year=unit.model_year), not unit.owner
        elif subject.person_id is not None:
            person = lock_row(Person.objects.all(), subject.person_id, "person_unknown")
            if person.left_on is not None:
                raise Conflict("person_left", left_on=person.left_on)
            yield work, Subject("person"), True
        else:
            carrier = or_not_found(Carrier.objects.select_for_update(no_key=True).first(), "carrier_missing")
            yield work, Subject("carrier", usdot_number=carrier.usdot_number), True
