"""Whose document a row is about, and which are on record for it. What becomes of the row is judged elsewhere."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from fleet.models import Carrier, Document
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.recording import Subject
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.imports.plan import ColumnProblem, GivenRow, Refused, Scene
from fleet.services.imports.references import PeopleNamed, UnitsNamed

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

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        self._units = UnitsNamed(rows, scene)
        self.work = self._units.work
        self._people = PeopleNamed(rows, scene)
        of_carrier = any(not {"unit", "person"} & row.values.keys() for row in rows)
        carriers = Carrier.objects.all()
        self._carrier = (carriers.select_for_update(no_key=True) if scene.locking and of_carrier else carriers).first()
        self._documents = self._read()

    def whose(self, row: GivenRow) -> Whose:
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
            for state in {"", document.state}:
                found[document.kind, subject, state].append(document)
        return found


def document_name(kind: DocumentKind, subject: DocumentSubject, state: str) -> DocumentName:
    """Return what tells documents of one subject apart."""
    return kind.name, subject, state if kind.states else ""


def current_among(documents: Iterable[Document]) -> Document | None:
    """Return the one that was not superseded, if any."""
    return next((document for document in documents if document.superseded_at is None), None)
