"""Whose paper a row is about, and which papers are on record for it. What becomes of the row is judged elsewhere."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from fleet.models import Carrier, Document, Person, Unit
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.recording import Subject
from fleet.selectors.people.lookup import PeopleByName
from fleet.selectors.units.lookup import resolve_units
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.imports.given_rows import ColumnProblem, GivenRow, Refused, Scene
from fleet.services.records.unit_of_work import begin_work

PaperName = tuple[str, DocumentSubject, str]
"""Kind, subject, and the State where the kind is given by States."""


@dataclass(frozen=True)
class Whose:
    """The subject of a row's paper, as its rules see it and as people call it. `ours`: it is no unit of others."""

    subject: DocumentSubject
    rules: Subject
    name: str
    ours: bool = True


class PapersOnRecord:
    """The subjects that a table names, locked where they are to be written, and all their papers."""

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        sound = [row for row in rows if not row.problems]
        refs = {str(row.values["unit"]) for row in sound if "unit" in row.values}
        names = {str(row.values["person"]) for row in sound if "person" in row.values}
        units = {unit.pk for unit in resolve_units(refs).values()}
        self.work = begin_work(units if scene.locking else (), actor=scene.actor, now=scene.now)
        self._units: Mapping[str, Unit] = resolve_units(refs)
        people = Person.objects.all()
        self._people = PeopleByName(people.select_for_update(no_key=True) if scene.locking and names else people, names)
        of_carrier = any(not {"unit", "person"} & row.values.keys() for row in sound)
        carriers = Carrier.objects.all()
        self._carrier = (carriers.select_for_update(no_key=True) if scene.locking and of_carrier else carriers).first()
        self._papers = self._read()

    def whose(self, row: GivenRow) -> Whose:
        """Return the subject of a row: a unit, a person, or with neither the carrier; Refused."""
        unit, person = row.values.get("unit"), row.values.get("person")
        if unit is not None and person is not None:
            raise Refused(ColumnProblem("person", "document_two_subjects"))
        if unit is not None:
            return self._unit(str(unit))
        return self._person(str(person)) if person is not None else self._the_carrier()

    def of(self, kind: DocumentKind, subject: DocumentSubject, state: str) -> Sequence[Document]:
        """Return all papers of that kind and subject, and State where that counts, replaced ones among them."""
        return self._papers.get(paper_name(kind, subject, state), ())

    def _unit(self, ref: str) -> Whose:
        unit = self._units.get(ref)
        if unit is None:
            raise Refused(ColumnProblem("unit", "unit_unknown"))
        if unit.retired_on is not None:
            raise Refused(ColumnProblem("unit", "unit_retired", {"unit": str(unit), "retired_on": unit.retired_on}))
        rules = Subject(unit.kind, model_year=unit.model_year)
        return Whose(DocumentSubject(unit_id=unit.pk), rules, str(unit), ours=not unit.owner)

    def _person(self, name: str) -> Whose:
        person = self._people.one(name)
        if person is None:
            code = "person_ambiguous" if self._people.are_several(name) else "person_unknown"
            raise Refused(ColumnProblem("person", code))
        return Whose(DocumentSubject(person_id=person.pk), Subject("person"), person.name)

    def _the_carrier(self) -> Whose:
        if self._carrier is None:
            raise Refused(ColumnProblem("", "carrier_missing"))
        rules = Subject("carrier", usdot_number=self._carrier.usdot_number)
        return Whose(DocumentSubject(), rules, self._carrier.name)

    def _read(self) -> Mapping[PaperName, Sequence[Document]]:
        units = [unit.pk for unit in self._units.values()]
        people = [person.pk for person in self._people.all]
        rows = Document.objects.filter(
            Q(unit_id__in=units) | Q(person_id__in=people) | Q(unit__isnull=True, person__isnull=True)
        )
        found: defaultdict[PaperName, list[Document]] = defaultdict(list)
        for document in rows.order_by("recorded_at", "pk"):
            subject = DocumentSubject(document.unit_id, document.person_id)
            for state in {"", document.state}:
                found[document.kind, subject, state].append(document)
        return found


def paper_name(kind: DocumentKind, subject: DocumentSubject, state: str) -> PaperName:
    """Return what tells papers of one subject apart."""
    return kind.name, subject, state if kind.states else ""


def standing_among(papers: Iterable[Document]) -> Document | None:
    """Return the one that was not replaced, if any."""
    return next((document for document in papers if document.replaced_at is None), None)
