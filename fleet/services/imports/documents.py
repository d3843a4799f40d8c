"""Documents out of a table: one is named by its subject and kind, and the State where a kind is given by States.

The same document is left alone or edited, the next one replaces it, one from before it is refused.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from fleet.enums import RowOutcome
from fleet.models import Carrier, Document
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.recording import Subject, Successor, successor
from fleet.selectors.documents.status import document_state
from fleet.services.documents.columns import document_columns, document_now, kind_of_document
from fleet.services.documents.inspectors import INSPECTION, SHOWN_BY, Inspectors
from fleet.services.documents.subjects import DocumentSubject, refuse_third_party_documents
from fleet.services.documents.writers import NewDocument, change_documents, insert_documents
from fleet.services.imports.plan import (
    ColumnProblem,
    ImportContext,
    ImportRow,
    Plan,
    Refused,
    RowReport,
    batches,
    changes_between,
)
from fleet.services.imports.references import PeopleNamed, UnitsNamed
from fleet.transitions import DOCUMENT

DocumentName = tuple[str, DocumentSubject, str]
"""Kind, subject, and the State where the kind is given by States."""


@dataclass(frozen=True)
class Whose:
    """The subject of a row's document, as its rules see it and as people call it. `ours`: no third-party unit."""

    subject: DocumentSubject
    rules: Subject
    name: str
    ours: bool = True


class DocumentsOnRecord:
    """The subjects that a table names, locked where they are to be written, and all their documents."""

    def __init__(self, rows: Sequence[ImportRow], context: ImportContext) -> None:
        self._units = UnitsNamed(rows, context)
        self.work = self._units.work
        self._people = PeopleNamed(rows, context)
        of_carrier = any(not {"unit", "person"} & row.values.keys() for row in rows)
        carriers = Carrier.objects.all()
        self._carrier = (
            carriers.select_for_update(no_key=True) if context.locking and of_carrier else carriers
        ).first()
        self._documents = self._read()

    def whose(self, row: ImportRow) -> Whose:
        """Return the subject of a row: a unit, a person, or with neither the carrier; Refused."""
        if "unit" in row.values and "person" in row.values:
            raise Refused(ColumnProblem("person", "document_two_subjects"))
        if "unit" in row.values:
            unit = self._units.in_service(row)
            rules = Subject(unit.kind, model_year=unit.model_year)
            return Whose(DocumentSubject(unit_id=unit.pk), rules, str(unit), ours=not unit.owner)
        if "person" in row.values:
            person = self._people.of(row)
            return Whose(DocumentSubject(person_id=person.pk), Subject("person"), person.name)
        if self._carrier is None:
            raise Refused(ColumnProblem("", "carrier_missing"))
        return Whose(DocumentSubject(), Subject("carrier", usdot_number=self._carrier.usdot_number), self._carrier.name)

    def of(self, kind: DocumentKind, subject: DocumentSubject, state: str) -> Sequence[Document]:
        """Return all documents of that kind and subject, and State where that counts, superseded ones among them."""
        return self._documents.get(document_name(kind, subject, state), ())

    def _read(self) -> Mapping[DocumentName, Sequence[Document]]:
        rows = Document.objects.filter(
            Q(unit__in=self._units.all) | Q(person__in=self._people.all) | Q(unit__isnull=True, person__isnull=True)
        )
        found: defaultdict[DocumentName, list[Document]] = defaultdict(list)
        for document in rows.order_by("recorded_at", "pk"):
            subject = DocumentSubject(document.unit_id, document.person_id)
            for state in {"", document.us_state}:
                found[document.kind, subject, state].append(document)
        return found


def document_name(kind: DocumentKind, subject: DocumentSubject, state: str) -> DocumentName:
    """Return what tells documents of one subject apart."""
    return kind.name, subject, state if kind.states else ""


def current_among(documents: Iterable[Document]) -> Document | None:
    """Return the one that was not superseded, if any."""
    return next((document for document in documents if document.superseded_at is None), None)


NAMING = frozenset({"kind", "unit", "person"})


class DocumentPlan(Plan):
    """Which documents a table records, edits and replaces."""

    def read(self, rows: Sequence[ImportRow]) -> None:
        """The subjects, with all their documents, and who is qualified to inspect."""
        self._new: list[NewDocument] = []
        self._changed: list[tuple[Document, Mapping[str, object]]] = []
        self._record = DocumentsOnRecord(rows, self.context)
        self._inspectors = Inspectors()

    def write(self) -> None:
        """Edit, record and replace, with the units' histories."""
        work = self._record.work
        for changed in batches(self._changed):
            change_documents(work, changed, from_table=True)
            work.write()
        for new in batches(self._new):
            insert_documents(work, new, from_table=True)
            work.write()

    def judge(self, row: ImportRow) -> RowReport:
        """The first of its kind is recorded."""
        kind = kind_of_document(str(row.values["kind"]))
        whose = self._record.whose(row)
        refuse_third_party_documents(whose.subject, self.context.actor)
        facts = {name: value for name, value in row.values.items() if name not in NAMING}
        state = str(facts.get("us_state", ""))
        self.named.add(document_name(kind, whose.subject, state), row.number)
        documents = self._record.of(kind, whose.subject, state)
        old = current_among(documents)
        if old is not None:
            return self._judge_next(row, whose, facts, old, documents)
        self._add(whose, kind.name, document_columns(kind, whose.rules, facts, self.context.today))
        return RowReport(row.number, RowOutcome.CREATED, _called(kind.name, whose))

    def _judge_next(
        self, row: ImportRow, whose: Whose, facts: Mapping[str, object], old: Document, documents: Sequence[Document]
    ) -> RowReport:
        """A row about a document of which one is current."""
        kind = kind_of_document(old.kind)
        edited = document_columns(kind, whose.rules, document_now(old, kind, facts), self.context.today)
        changes = changes_between({name: getattr(old, name) for name in edited}, edited)
        name = _called(kind.name, whose)
        if not changes:
            return RowReport(row.number, RowOutcome.UNCHANGED, name, old.pk)
        order = successor(old, _day(edited["starts_on"]), _day(edited["ends_on"]))
        if order is Successor.SAME_PERIOD:
            DOCUMENT.resolve("edit", document_state(old), self.context.actor.current_roles)
            if SHOWN_BY & {change.column for change in changes}:
                old.inspector_unproven = self._is_unproven(whose, kind.name, edited)
            self._changed.append((old, edited))
            return RowReport(row.number, RowOutcome.CHANGED, name, old.pk, changes)
        columns = document_columns(kind, whose.rules, {**facts, "us_state": old.us_state}, self.context.today)
        if order is Successor.EARLIER:
            same = [one for one in documents if all(getattr(one, key) == columns[key] for key in columns)]
            if not same:
                raise Refused(ColumnProblem("", "document_earlier", {"ends_on": old.ends_on or ""}))
            return RowReport(row.number, RowOutcome.UNCHANGED, name, same[0].pk)
        DOCUMENT.resolve("replace", document_state(old), self.context.actor.current_roles)
        self._add(whose, kind.name, columns, old)
        followed = changes_between({name: getattr(old, name) for name in columns}, columns)
        return RowReport(row.number, RowOutcome.CHANGED, name, old.pk, followed)

    def _add(self, whose: Whose, kind: str, columns: Mapping[str, object], old: Document | None = None) -> None:
        unproven = self._is_unproven(whose, kind, columns)
        self._new.append(NewDocument(kind, whose.subject, columns, old, inspector_unproven=unproven))

    def _is_unproven(self, whose: Whose, kind: str, columns: Mapping[str, object]) -> bool:
        """Whether a periodic inspection of a unit of ours does not show a qualified inspector: flagged, not refused."""
        return kind == INSPECTION and whose.ours and bool(self._inspectors.problems(columns))


def _called(kind: str, whose: Whose) -> str:
    return f"{whose.name}: {kind}"


def _day(value: object) -> date | None:
    return value if isinstance(value, date) else None
