import datetime as dt

import pytest

from fleet.enums import Role, RowOutcome, UnitKind
from fleet.models import Document, HistoryEntry, Person
from fleet.services.imports.run import Table
from tests.factories.fleet import make_carrier, make_document, make_inspector, make_person, make_unit
from tests.support.contents import contents
from tests.support.tables import changes, outcomes, problems, take_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def vera() -> Person:
    make_carrier()
    return make_person("Vera Holt", Role.COMPLIANCE)


def registration(**cells: str) -> dict[str, str]:
    row = {"kind": "registration", "unit": "NL-1", "person": "", "us_state": "IL", "number": "0012"}
    return {**row, "starts_on": "2025-07-01", "ends_on": "2026-06-30", "permanent": "", **cells}


def test_first_document__is_recorded_for_unit_person_and_carrier(vera: Person) -> None:
    unit = make_unit(number="NL-1")
    rita = make_person("Rita Sand", firm="Crookspoke")
    rows = [
        registration(),
        registration(kind="medical_certificate", unit="", person="Rita Sand (Crookspoke)", us_state=""),
        registration(kind="insurance", unit="", us_state=""),
    ]
    assert set(outcomes(take_in(Table.DOCUMENTS, rows, vera)).values()) == {RowOutcome.CREATED}
    found = {d.kind: (d.unit, d.person, d.number, d.ends_on) for d in Document.objects.all()}
    end = dt.date(2026, 6, 30)
    assert found == {
        "registration": (unit, None, "0012", end),
        "medical_certificate": (None, rita, "0012", end),
        "insurance": (None, None, "0012", end),
    }
    kinds = HistoryEntry.objects.filter(unit=unit).order_by("sequence").values_list("kind", flat=True)
    assert list(kinds) == ["unit_added", "document_recorded"]


def test_same_period__mends_what_was_typed_wrong_and_keeps_what_is_not_said(vera: Person) -> None:
    document = make_document(make_unit(number="NL-1"), number="TYPO", issuer="Secretary of State")
    report = take_in(Table.DOCUMENTS, [registration(us_state="")], vera)
    assert changes(report) == {2: [("number", "TYPO", "0012")]}
    document.refresh_from_db()
    assert (document.number, document.issuer, document.superseded_at, document.version) == (
        "0012",
        "Secretary of State",
        None,
        2,
    )
    assert Document.objects.count() == 1


def test_later_period__replaces_and_keeps_the_old_document(vera: Person) -> None:
    unit = make_unit(number="NL-1")
    old = make_document(unit, number="0011")
    rows = [registration(starts_on="2026-07-01", ends_on="2027-06-30", us_state="")]
    assert outcomes(take_in(Table.DOCUMENTS, rows, vera)) == {2: RowOutcome.CHANGED}
    new = Document.objects.get(superseded_at__isnull=True)
    old.refresh_from_db()
    assert (new.number, new.ends_on, old.superseded_by, old.number) == ("0012", dt.date(2027, 6, 30), new, "0011")
    assert HistoryEntry.objects.filter(unit=unit, kind="document_replaced", subject=new.pk).count() == 1


def test_tables_of_two_years_and_the_first_again__the_later_document_stands(vera: Person) -> None:
    make_unit(number="NL-1")
    first, second = registration(), registration(starts_on="2026-07-01", ends_on="2027-06-30")
    take_in(Table.DOCUMENTS, [first], vera)
    take_in(Table.DOCUMENTS, [second], vera)
    before = contents()
    assert outcomes(take_in(Table.DOCUMENTS, [first], vera)) == {2: RowOutcome.UNCHANGED}
    assert outcomes(take_in(Table.DOCUMENTS, [second], vera)) == {2: RowOutcome.UNCHANGED}
    never = registration(starts_on="2024-07-01", ends_on="2025-06-30")
    assert problems(take_in(Table.DOCUMENTS, [never], vera)) == {2: [("", "document_earlier")]}
    assert contents() == before


def test_permits_of_two_states__are_two_documents(vera: Person) -> None:
    make_unit(number="NL-1")
    rows = [registration(kind="weight_distance_permit", us_state=state) for state in ("NM", "OR", "OR")]
    report = take_in(Table.DOCUMENTS, rows, vera)
    assert outcomes(report) == {2: RowOutcome.CREATED, 3: RowOutcome.CREATED, 4: RowOutcome.REFUSED}
    assert problems(report) == {4: [("", "row_twice")]}
    assert report.rows[2].problems[0].facts == {"first": 3}


def test_rows_that_break_a_rule__say_row_column_and_rule(vera: Person) -> None:
    make_unit(number="NL-1")
    make_unit(number="NL-2")
    make_unit(UnitKind.COOLING_UNIT, "CU-1")
    for _ in range(2):
        make_person("Ada Brisk")
    person = {"unit": "", "us_state": "", "kind": "medical_certificate"}
    rows = [
        registration(kind="pilot_licence"),
        registration(unit="NL-404"),
        registration(person="Vera Holt"),
        registration(ends_on="2025-06-30"),
        registration(unit="NL-2", ends_on=""),
        registration(ends_on="46203"),
        registration(unit="CU-1"),
        registration(**person, person="Ada Brisk"),
        registration(**person, person="Nobody"),
        registration(kind="periodic_inspection", starts_on="2026-03-07", ends_on="", us_state=""),
        registration(unit="@"),
        registration(us_state="Illinois"),
    ]
    assert problems(take_in(Table.DOCUMENTS, rows, vera)) == {
        2: [("kind", "cell_not_among_choices")],
        3: [("unit", "unit_unknown")],
        4: [("person", "document_two_subjects")],
        5: [("ends_on", "period_ends_before_start")],
        6: [("ends_on", "period_required")],
        7: [("ends_on", "date_is_number")],
        8: [("kind", "document_not_of_subject")],
        9: [("person", "person_ambiguous")],
        10: [("person", "person_unknown")],
        11: [("starts_on", "date_in_future")],
        12: [("unit", "unit_reference_malformed")],
        13: [("us_state", "cell_too_long")],
    }
    assert not Document.objects.exists()


def test_inspection_without_qualified_inspector__is_kept_and_flagged(vera: Person) -> None:
    """49 CFR 396.19. An old document is worth more flagged than refused; the same table again changes nothing."""
    trailer, others = make_unit(UnitKind.TRAILER, "LR-1"), make_unit(UnitKind.TRAILER, "QX-1", owner="Quartz")
    make_inspector()
    row = {"kind": "periodic_inspection", "unit": "LR-1", "starts_on": "2026-01-05", "program": "self"}
    rows = [{**row, "inspector": "Sam Ruy"}, {**row, "unit": "QX-1@Quartz", "inspector": ""}]
    assert set(outcomes(take_in(Table.DOCUMENTS, rows, vera)).values()) == {RowOutcome.CREATED}
    document = Document.objects.get(unit=trailer)
    assert document.inspector_unproven
    assert not Document.objects.get(unit=others).inspector_unproven
    assert set(outcomes(take_in(Table.DOCUMENTS, rows, vera)).values()) == {RowOutcome.UNCHANGED}
    take_in(Table.DOCUMENTS, [{**row, "inspector": "Greta Lind"}], vera)
    document.refresh_from_db()
    assert (document.inspector, document.inspector_unproven) == ("Greta Lind", False)
