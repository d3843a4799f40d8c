"""The only writers of documents: new ones, with those they supersede, and changed ones; one or a whole table."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fleet.models import Document
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.signals import documents_recorded


@dataclass(frozen=True)
class NewDocument:
    """A document of a locked subject, which supersedes `replaces` where there is one; `columns` of `Document`."""

    kind: str
    subject: DocumentSubject
    columns: Mapping[str, object]
    replaces: Document | None = None
    inspector_unproven: bool = False


def insert_documents(work: UnitOfWork, new: Sequence[NewDocument], *, from_table: bool = False) -> list[Document]:
    """Record new documents; those they supersede make room first, and are told by what once that has a row."""
    olds = [each.replaces for each in new if each.replaces is not None]
    for old in olds:
        old.version += 1
        old.superseded_at = work.now
    Document.objects.bulk_update(olds, ["superseded_at", "version"])
    rows = Document.objects.bulk_create(
        Document(
            kind=each.kind,
            **each.subject.columns,
            **each.columns,
            inspector_unproven=each.inspector_unproven,
            recorded_at=work.now,
            recorded_by=work.actor,
        )
        for each in new
    )
    events = []
    for each, row in zip(new, rows, strict=True):
        body: dict[str, object] = {"kind": each.kind, **each.columns}
        if each.inspector_unproven:
            body["inspector_unproven"] = True
        if each.replaces is None:
            events.append(("document_recorded", row, body))
        else:
            each.replaces.superseded_by = row
            events.append(("document_replaced", row, {**body, "replaces": each.replaces.pk}))
    Document.objects.bulk_update(olds, ["superseded_by"])
    record_documents(work, events, from_table=from_table)
    return rows


def change_documents(
    work: UnitOfWork, changes: Sequence[tuple[Document, Mapping[str, object]]], *, from_table: bool = False
) -> None:
    """Set columns of locked documents, each as its next version; `inspector_unproven` is saved as it is on the row."""
    events = []
    for document, columns in changes:
        changed = changed_columns(document, columns)
        for name, value in columns.items():
            setattr(document, name, value)
        document.version += 1
        events.append(("document_edited", document, {"kind": document.kind, "changed": changed}))
    columns_saved = {name for _, columns in changes for name in columns}
    rows = [document for document, _ in changes]
    Document.objects.bulk_update(rows, [*sorted(columns_saved), "inspector_unproven", "version"])
    record_documents(work, events, from_table=from_table)


def changed_columns(document: Document, columns: Mapping[str, object]) -> dict[str, list[object]]:
    """Return the columns that would change, each with the values before and after."""
    pairs = {name: [getattr(document, name), value] for name, value in columns.items()}
    return {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}


def record_documents(
    work: UnitOfWork, events: Iterable[tuple[str, Document, Mapping[str, object]]], *, from_table: bool = False
) -> None:
    """Record in the units' histories, and announce which got another first day; people and the carrier have none."""
    dated = []
    for event, document, body in events:
        if document.unit_id is not None:
            work.record(document.unit_id, event, subject=document.pk, body=body)
            changed = body.get("changed")
            if event in {"document_recorded", "document_replaced"} or (
                isinstance(changed, Mapping) and "starts_on" in changed
            ):
                dated.append(document)
    if dated:
        documents_recorded.send(Document, documents=dated, work=work, from_table=from_table)
