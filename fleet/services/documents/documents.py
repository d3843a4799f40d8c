"""Papers of units, people and the carrier: recording one, mending it, replacing it by the next. The old one stays."""

from collections.abc import Mapping
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, NotFound
from fleet.models import Document, Person
from fleet.services.documents.columns import kind_of_paper, paper_columns, paper_now
from fleet.services.documents.inspectors import SHOWN_BY, refuse_unproven_inspector
from fleet.services.documents.subjects import (
    DocumentSubject,
    LockedSubject,
    lock_subject,
    refuse_others_papers,
    subject_of,
)
from fleet.services.records.versions import begin_edit
from fleet.states import document_state
from fleet.transitions import DOCUMENT


@transaction.atomic
def record_document(
    *, kind: str, subject: DocumentSubject, facts: Mapping[str, object], today: date, actor: Person, now: datetime
) -> Document:
    """Record the first paper of its kind for a subject; the next one replaces it.

    `facts` are `fleet.services.documents.columns.COLUMNS`, `ends_on` and `permanent`; an end that the kind's rule
    computes need not be given. Invalid `document_kind_unknown`, `document_refused`; Conflict
    `document_current_exists`, `unit_retired`, `person_left`, `inspection_defects_open`;
    NotAllowed `not_your_documents`; NotFound for an unknown subject.
    """
    refuse_others_papers(subject, actor)
    rules = kind_of_paper(kind)
    locked = lock_subject(subject)
    columns = paper_columns(rules, locked.rules, facts, today)
    refuse_unproven_inspector(kind, columns, ours=locked.ours)
    present = Document.objects.filter(**subject.columns, kind=kind, replaced_at__isnull=True)
    current = (present.filter(state=columns["state"]) if rules.states else present).first()
    if current is not None:
        raise Conflict("document_current_exists", document=current.pk)
    document = Document.objects.create(kind=kind, **subject.columns, **columns, recorded_at=now, recorded_by=actor)
    locked.record("document_recorded", document, {"kind": kind, **columns}, actor, now)
    return document


@transaction.atomic
def edit_document(
    *,
    document_id: UUID,
    version: int | None,
    changes: Mapping[str, object],
    today: date,
    actor: Person,
    now: datetime,
) -> Document:
    """Mend what was typed wrong on a current paper; its end is computed anew. What changes nothing leaves no trace.

    NotFound `document_unknown`, Conflict `action_not_allowed`, PreconditionFailed `version_changed`, and as above.
    """
    document, locked = lock_paper("edit", paper_written_by(actor, document_id), version, actor)
    rules = kind_of_paper(document.kind)
    columns = paper_columns(rules, locked.rules, paper_now(document, rules, changes), today)
    changed = {name: [getattr(document, name), value] for name, value in columns.items()}
    changed = {name: pair for name, pair in changed.items() if pair[0] != pair[1]}
    if not changed:
        document.refresh_from_db()
        return document
    if SHOWN_BY & changed.keys():
        refuse_unproven_inspector(document.kind, columns, ours=locked.ours)
        columns["inspector_unproven"] = False
    for name, value in columns.items():
        setattr(document, name, value)
    document.save(update_fields=[*columns, "version"])
    locked.record("document_edited", document, {"kind": document.kind, "changed": changed}, actor, now)
    return document


@transaction.atomic
def replace_document(
    *,
    document_id: UUID,
    version: int | None,
    facts: Mapping[str, object],
    today: date,
    actor: Person,
    now: datetime,
) -> Document:
    """Record the paper that follows a current one, of the same kind, subject and State; return the new one.

    Raises as `edit_document` does.
    """
    old, locked = lock_paper("replace", paper_written_by(actor, document_id), version, actor)
    columns = paper_columns(kind_of_paper(old.kind), locked.rules, {**facts, "state": old.state}, today)
    refuse_unproven_inspector(old.kind, columns, ours=locked.ours)
    old.replaced_at = now
    old.save(update_fields=["replaced_at", "version"])
    subject = subject_of(old)
    new = Document.objects.create(kind=old.kind, **subject.columns, **columns, recorded_at=now, recorded_by=actor)
    old.replaced_by = new
    old.save(update_fields=["replaced_by"])
    locked.record("document_replaced", new, {"kind": old.kind, "replaces": old.pk, **columns}, actor, now)
    return new


def paper_written_by(actor: Person, document_id: UUID) -> Document:
    """A paper that the actor may write about, not locked yet. NotFound `document_unknown`, NotAllowed as above."""
    known = Document.objects.filter(pk=document_id).first()
    if known is None:
        raise NotFound("document_unknown")
    refuse_others_papers(subject_of(known), actor)
    return known


def lock_paper(action: str, known: Document, version: int | None, actor: Person) -> tuple[Document, LockedSubject]:
    """A current paper of a locked subject, its version raised for the edit; errors as above."""
    locked = lock_subject(subject_of(known))
    document = Document.objects.get(pk=known.pk)
    begin_edit(document, version)
    DOCUMENT.resolve(action, document_state(document), actor.current_roles)
    return document, locked
