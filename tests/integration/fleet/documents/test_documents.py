"""Documents: one current of each kind, ends computed, replaced and never overwritten."""

import datetime as dt
from typing import Any

import pytest

from common.errors import Conflict, Invalid, NotAllowed, NotFound, PreconditionFailed
from common.ids import uuid7
from fleet.enums import Role, UnitKind
from fleet.models import Document, HistoryContent, HistoryEntry, Person
from fleet.services.documents.documents import edit_document, record_document, replace_document
from fleet.services.documents.subjects import DocumentSubject
from tests.factories.fleet import (
    NOON,
    TODAY,
    history_of,
    make_carrier,
    make_document,
    make_inspector,
    make_person,
    make_unit,
)
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
REGISTRATION = {"starts_on": dt.date(2025, 7, 1), "ends_on": dt.date(2026, 6, 30)}


@pytest.fixture
def desk() -> Person:
    return make_person("Vera Holt", Role.COMPLIANCE)


def record(subject: DocumentSubject, actor: Person, kind: str = "registration", **facts: Any) -> Document:
    return record_document(kind=kind, subject=subject, facts=facts or REGISTRATION, today=TODAY, actor=actor, now=NOON)


def replace(document: Document, actor: Person, version: int | None = 1, **facts: object) -> Document:
    return replace_document(
        document_id=document.pk, version=version, facts=facts or REGISTRATION, today=TODAY, actor=actor, now=NOON
    )


def edit(document: Document, actor: Person, version: int | None = 1, **changes: object) -> Document:
    return edit_document(document_id=document.pk, version=version, changes=changes, today=TODAY, actor=actor, now=NOON)


def kinds_of(document: Document) -> list[str]:
    entries = HistoryEntry.objects.filter(unit=document.unit).order_by("sequence")
    return list(entries.values_list("kind", flat=True))


class TestRecording:
    def test_periodic_inspection__is_kept_with_both_readings_of_its_end(self, desk: Person) -> None:
        unit = make_unit(UnitKind.TRAILER)
        make_inspector()
        document = record(
            DocumentSubject(unit_id=unit.pk),
            desk,
            "periodic_inspection",
            starts_on=dt.date(2025, 3, 14),
            program="self",
            inspector="Greta Lind",
        )
        document.refresh_from_db()
        assert (document.ends_on, document.ends_on_month) == (dt.date(2026, 3, 13), dt.date(2026, 3, 31))
        assert (document.program, document.inspector) == ("self", "Greta Lind")
        assert history_of(unit) == ["unit_added", "document_recorded"]

    @pytest.mark.parametrize(
        ("said", "problems"),
        [
            ({}, [("/program", "inspection_program_missing")]),
            ({"program": "self"}, [("/inspector", "inspector_not_qualified")]),
            ({"program": "self", "inspector": "Sam Ruy"}, [("/inspector", "inspector_not_qualified")]),
            (
                {"program": "agent", "inspector": "Ned Pell"},
                [(f"/{name}", "inspection_by_others_incomplete") for name in ("issuer", "evidence_held_by")],
            ),
            ({"program": "self", "inspector": "greta lind"}, []),
            ({"program": "agent", "inspector": "N. Pell", "issuer": "Pell", "evidence_held_by": "Pell"}, []),
            ({"program": "state"}, []),
        ],
    )
    def test_inspector_of_our_unit__is_shown_to_be_qualified(
        self, desk: Person, said: dict[str, object], problems: list[tuple[str, str]]
    ) -> None:
        """49 CFR 396.19: qualified on that day; (b): a State keeps the evidence on its own inspectors."""
        make_inspector()
        make_person("Sam Ruy", Role.MECHANIC)
        subject = DocumentSubject(unit_id=make_unit(UnitKind.TRAILER).pk)
        facts = {"starts_on": TODAY - DAY, **said}
        if problems:
            with refused(Invalid, "document_refused", *problems):
                record(subject, desk, "periodic_inspection", **facts)
        else:
            record(subject, desk, "periodic_inspection", **facts)
        assert Document.objects.count() == (0 if problems else 1)

    @pytest.mark.parametrize(
        ("day", "taken"), [(dt.date(2020, 1, 1), True), (dt.date(2019, 12, 31), False), (TODAY, False)]
    )
    def test_inspector__is_qualified_on_the_day_of_the_inspection(
        self, desk: Person, day: dt.date, taken: bool
    ) -> None:
        make_inspector().qualifications.update(ends_on=TODAY - DAY)
        subject = DocumentSubject(unit_id=make_unit(UnitKind.TRAILER).pk)
        facts = {"starts_on": day, "program": "self", "inspector": "Greta Lind"}
        if taken:
            record(subject, desk, "periodic_inspection", **facts)
        else:
            with refused(Invalid, "document_refused", ("/inspector", "inspector_not_qualified")):
                record(subject, desk, "periodic_inspection", **facts)

    def test_inspection_of_a_unit_of_others__is_taken_as_its_owner_says(self, desk: Person) -> None:
        unit = make_unit(UnitKind.TRAILER, owner="Quartz Dairies")
        document = record(DocumentSubject(unit_id=unit.pk), desk, "periodic_inspection", starts_on=TODAY)
        assert document.inspector_unproven is False

    def test_second_current_one_of_a_kind__is_refused(self, desk: Person) -> None:
        first = make_document()
        with refused(Conflict, "document_current_exists"):
            record(DocumentSubject(unit_id=first.unit_id), desk)
        with refused(Conflict, "document_current_exists"):
            record(DocumentSubject(unit_id=first.unit_id), desk, "registration", **REGISTRATION, us_state="IL")
        assert Document.objects.count() == 1

    def test_labels_of_two_states__stand_beside_each_other(self, desk: Person) -> None:
        subject = DocumentSubject(unit_id=make_unit(UnitKind.TRACTOR).pk)
        for state in ("NM", "OR"):
            record(subject, desk, "weight_distance_permit", **REGISTRATION, us_state=state)
        with refused(Conflict, "document_current_exists"):
            record(subject, desk, "weight_distance_permit", **REGISTRATION, us_state="OR")
        assert Document.objects.count() == 2

    @pytest.mark.parametrize(
        ("kind", "facts", "problem"),
        [
            ("registration", {"starts_on": TODAY, "ends_on": TODAY - DAY}, ("/ends_on", "period_ends_before_start")),
            ("periodic_inspection", {"starts_on": TODAY + DAY}, ("/starts_on", "date_in_future")),
            ("insurance", {"ends_on": TODAY}, ("/kind", "document_not_of_subject")),
        ],
    )
    def test_facts_that_make_no_document__are_refused_and_nothing_changed(
        self, desk: Person, kind: str, facts: dict[str, object], problem: tuple[str, str]
    ) -> None:
        unit = make_unit()
        with refused(Invalid, "document_refused", problem):
            record(DocumentSubject(unit_id=unit.pk), desk, kind, **facts)
        assert not Document.objects.exists()
        assert history_of(unit) == ["unit_added"]

    def test_unknown_kind_or_subject__is_refused(self, desk: Person) -> None:
        with refused(Invalid, "document_kind_unknown", ("/kind", "document_kind_unknown")):
            record(DocumentSubject(unit_id=make_unit().pk), desk, "passport")
        with refused(NotFound, "unit_unknown"):
            record(DocumentSubject(unit_id=uuid7()), desk)
        with refused(NotFound, "person_unknown"):
            record(DocumentSubject(person_id=uuid7()), desk, "medical_certificate")
        with refused(NotFound, "carrier_missing"):
            record(DocumentSubject(), desk, "insurance")

    def test_documents_of_the_carrier_and_of_people__are_the_offices(self, desk: Person) -> None:
        make_carrier()
        driver, foreman = make_person("Ada Brisk", Role.DRIVER), make_person("Hob Anselm", Role.FOREMAN)
        for subject, kind in (
            (DocumentSubject(), "insurance"),
            (DocumentSubject(person_id=driver.pk), "medical_certificate"),
        ):
            with refused(NotAllowed, "not_your_documents"):
                record(subject, foreman, kind)
            assert record(subject, desk, kind).kind == kind

    @pytest.mark.parametrize("role", [Role.FOREMAN, Role.DISPATCH])
    def test_people_on_shift__record_a_units_documents(self, role: Role) -> None:
        unit = make_unit(UnitKind.TRAILER, owner="Gravelspoon Foods")
        assert record(DocumentSubject(unit_id=unit.pk), make_person("Dee Moss", role)).unit_id == unit.pk


class TestReplacing:
    def test_next_document__follows_and_the_old_one_stays(self, desk: Person) -> None:
        old = make_document(number="A-1")
        new = replace(old, desk, number="A-2", starts_on=dt.date(2026, 7, 1), ends_on=dt.date(2027, 6, 30))
        old.refresh_from_db()
        assert (old.number, old.superseded_at, old.superseded_by_id, old.version) == ("A-1", NOON, new.pk, 2)
        assert (new.number, new.superseded_at, new.version) == ("A-2", None, 1)
        assert kinds_of(new)[-1] == "document_replaced"

    def test_superseded_document__is_neither_replaced_nor_edited_again(self, desk: Person) -> None:
        old = make_document()
        replace(old, desk)
        with refused(Conflict, "action_not_allowed"):
            replace(old, desk, 2)
        with refused(Conflict, "action_not_allowed"):
            edit(old, desk, 2, number="B")
        assert Document.objects.count() == 2

    def test_another_version__is_refused_and_nothing_changed(self, desk: Person) -> None:
        old = make_document()
        with refused(PreconditionFailed, "version_changed"):
            replace(old, desk, 2)
        assert Document.objects.count() == 1

    def test_unknown_document__is_not_found(self, desk: Person) -> None:
        with refused(NotFound, "document_unknown"):
            replace(Document(pk=uuid7()), desk)


class TestEditing:
    def test_mistyped_day_of_inspection__moves_the_end(self, desk: Person) -> None:
        document = make_document(kind="periodic_inspection", starts_on=dt.date(2025, 3, 14), ends_on=None)
        edit(document, desk, starts_on=dt.date(2025, 4, 14))
        document.refresh_from_db()
        assert (document.ends_on, document.ends_on_month) == (dt.date(2026, 4, 13), dt.date(2026, 4, 30))
        assert document.version == 2
        body = HistoryContent.objects.latest("entry__sequence").body
        assert '"starts_on":["2025-03-14","2025-04-14"]' in body

    def test_number_alone__leaves_the_printed_end(self, desk: Person) -> None:
        document = make_document()
        edit(document, desk, number="A-2")
        document.refresh_from_db()
        assert (document.number, document.ends_on) == ("A-2", dt.date(2026, 6, 30))

    def test_nothing_said_that_is_not_so_already__no_new_version_and_no_entry(self, desk: Person) -> None:
        document = make_document(number="A-1")
        entries = HistoryContent.objects.count()
        assert edit(document, desk).version == 1
        assert edit(document, desk, number="A-1").version == 1
        document.refresh_from_db()
        assert (document.version, HistoryContent.objects.count()) == (1, entries)

    def test_permanent_document__stays_permanent_until_it_is_given_an_end(self, desk: Person) -> None:
        document = make_document(ends_on=None, permanent=True)
        assert edit(document, desk, 1, number="P-1").ends_on is None
        assert edit(document, desk, 2, ends_on=dt.date(2027, 6, 30)).ends_on == dt.date(2027, 6, 30)
