"""Documents: recording, editing and replacing one, and keeping its scan. The old one stays."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, or_not_found
from common.versions import require_version
from fleet.models import Document, Person
from fleet.rules.documents.file_types import DOCUMENTS
from fleet.rules.documents.recording import Subject
from fleet.selectors.documents.status import document_state
from fleet.services.documents.columns import document_columns, document_now, kind_of_document
from fleet.services.documents.files import store_file
from fleet.services.documents.inspectors import SHOWN_BY, refuse_unproven_inspector
from fleet.services.documents.subjects import DocumentSubject, locked_subject, refuse_third_party_documents, subject_of
from fleet.services.documents.writers import (
    NewDocument,
    change_documents,
    changed_columns,
    insert_documents,
    record_documents,
)
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.transitions import DOCUMENT


def record_document(
    *, kind: str, subject: DocumentSubject, facts: Mapping[str, object], today: date, actor: Person, now: datetime
) -> Document:
    """Record the first document of its kind for a subject; the next one replaces it.

    `facts` are `fleet.services.documents.columns.COLUMNS`, `ends_on` and `permanent`; an end that the kind's rule
    computes need not be given. Invalid `document_kind_unknown`, `document_refused`; Conflict
    `document_current_exists`, `unit_retired`, `person_left`, `inspection_defects_open`;
    NotAllowed `not_your_documents`; NotFound for an unknown subject.
    """
    refuse_third_party_documents(subject, actor)
    rules = kind_of_document(kind)
    with locked_subject(subject, actor, now) as (work, facing, ours):
        columns = document_columns(rules, facing, facts, today)
        refuse_unproven_inspector(kind, columns, ours=ours)
        present = Document.objects.filter(**subject.columns, kind=kind, superseded_at__isnull=True)
        current = (present.filter(us_state=columns["us_state"]) if rules.states else present).first()
        if current is not None:
            raise Conflict("document_current_exists", document=current.pk)
        return insert_documents(work, [NewDocument(kind, subject, columns)])[0]


def edit_document(
    *, document_id: UUID, version: int | None, changes: Mapping[str, object], today: date, actor: Person, now: datetime
) -> Document:
    """Mend what was typed wrong on a current document; its end is computed anew. What changes nothing leaves no trace.

    NotFound `document_unknown`, Conflict `action_not_allowed`, PreconditionFailed `version_changed`, and as above.
    """
    known = document_written_by(actor, document_id)
    with locked_document("edit", known, version, actor, now) as (work, document, subject, ours):
        rules = kind_of_document(document.kind)
        columns = document_columns(rules, subject, document_now(document, rules, changes), today)
        changed = changed_columns(document, columns)
        if not changed:
            return document
        if SHOWN_BY & changed.keys():
            refuse_unproven_inspector(document.kind, columns, ours=ours)
            document.inspector_unproven = False
        change_documents(work, [(document, columns)])
        return document


def replace_document(
    *, document_id: UUID, version: int | None, facts: Mapping[str, object], today: date, actor: Person, now: datetime
) -> Document:
    """Record the document that follows a current one, of the same kind, subject and State; return the new one.

    Raises as `edit_document` does.
    """
    known = document_written_by(actor, document_id)
    with locked_document("replace", known, version, actor, now) as (work, old, subject, ours):
        columns = document_columns(kind_of_document(old.kind), subject, {**facts, "us_state": old.us_state}, today)
        refuse_unproven_inspector(old.kind, columns, ours=ours)
        return insert_documents(work, [NewDocument(old.kind, subject_of(old), columns, old)])[0]


def document_written_by(actor: Person, document_id: UUID) -> Document:
    """A document that the actor may write about, not locked yet. NotFound `document_unknown`, NotAllowed as above."""
    known = or_not_found(Document.objects.filter(pk=document_id).first(), "document_unknown")
    refuse_third_party_documents(subject_of(known), actor)
    return known


@contextmanager
def locked_document(
    action: str, known: Document, version: int | None, actor: Person, now: datetime
) -> Iterator[tuple[UnitOfWork, Document, Subject, bool]]:
    """A current document of a locked subject, of which the rest is as `locked_subject` gives it; errors as above."""
    with locked_subject(subject_of(known), actor, now) as (work, subject, ours):
        document = Document.objects.get(pk=known.pk)
        require_version(document, version)
        DOCUMENT.resolve(action, document_state(document), actor.current_roles)
        yield work, document, subject, ours


@transaction.atomic
def attach_file(
    *, document_id: UUID, version: int | None, content: bytes, declared: str, actor: Person, now: datetime
) -> Document:
    """Keep a scan and let the document show it; an earlier one stays kept, and named in the unit's history.

    The bytes are stored before the subject is locked: that takes a while, and a unit is written about meanwhile.
    NotFound `document_unknown`, PreconditionFailed `version_changed`, NotAllowed `not_your_documents`, Conflict
    `action_not_allowed`, and the refusals of `fleet.services.documents.files.store_file`.
    """
    known = document_written_by(actor, document_id)
    file = store_file(content=content, declared=declared, allowed=DOCUMENTS, expected_sha256=None, now=now)
    with locked_document("edit", known, version, actor, now) as (work, document, _, _):
        before, document.file = document.file_id, file
        work.save(document, "file")
        body = {"sha256": document.file_id, "before": before}
        record_documents(work, [("document_scanned", document, body)])
        return document
