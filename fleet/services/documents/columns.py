"""The columns of a document from what is said of it, by the rule of its kind. Writing the row is done beside it."""

from collections.abc import Mapping
from datetime import date

from common.errors import FieldProblem, Invalid
from fleet.models import Document
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.recording import DocumentRefused, Subject, end_of_document

COLUMNS = ("number", "issuer", "us_state", "issued_on", "starts_on", "program", "inspector", "evidence_held_by")
"""What is stored as it was given; the ends are computed beside it."""


def kind_of_document(name: str) -> DocumentKind:
    """Return the kind of that name; Invalid `document_kind_unknown`."""
    kinds = load_document_kinds()
    kind = kinds.get(name)
    if kind is None:
        raise Invalid("document_kind_unknown", pointer="/kind", allowed=sorted(kinds))
    return kind


def document_now(document: Document, kind: DocumentKind, changes: Mapping[str, object]) -> dict[str, object]:
    """Return what the document says with the changes: the end too where it is printed on it and not computed."""
    given: dict[str, object] = {name: getattr(document, name) for name in COLUMNS}
    if kind.rule.name == "explicit_date":
        given["ends_on"] = document.ends_on
    if "ends_on" not in changes:
        given["permanent"] = document.ends_on is None
    return {**given, **changes}


def document_columns(
    kind: DocumentKind, subject: Subject, facts: Mapping[str, object], today: date
) -> dict[str, object]:
    """Return the columns of a document with these facts; Invalid `document_refused` pointing to each broken rule."""
    try:
        end = end_of_document(kind, subject, facts, today)
    except DocumentRefused as refused:
        problems = [FieldProblem(f"/{problem.field}", problem.code) for problem in refused.problems]
        raise Invalid("document_refused", problems=problems) from refused
    stored = {name: facts[name] for name in COLUMNS if name in facts}
    return {"us_state": "", **stored, "ends_on": end.by_day, "ends_on_month": end.by_month_end}
