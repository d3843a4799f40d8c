from decimal import Decimal

import pytest

from common.errors import Invalid
from fleet.enums import ImportMode, RowOutcome, UnitKind
from fleet.models import Axle, HistoryEntry, Person, TractorDetails, Unit
from fleet.services.imports.run import Table
from tests.factories.fleet import make_site, make_unit
from tests.support.contents import contents
from tests.support.tables import changes, outcomes, problems, take_in

pytestmark = pytest.mark.django_db

CREATED, CHANGED, UNCHANGED, REFUSED = (
    RowOutcome.CREATED,
    RowOutcome.CHANGED,
    RowOutcome.UNCHANGED,
    RowOutcome.REFUSED,
)


def test_new_units__have_what_the_rows_say_with_details_and_history(vera: Person) -> None:
    site = make_site()
    rows = [
        {"kind": "tractor", "number": "11", "plate": "0012", "home_site": site.code, "fuel_tank_gal": "120.0"},
        {"kind": "trailer", "number": "LR-1", "plate": "", "home_site": "", "fuel_tank_gal": ""},
    ]
    report = take_in(Table.UNITS, rows, vera)
    assert outcomes(report) == {2: CREATED, 3: CREATED}
    tractor = Unit.objects.get(number="11")
    assert (tractor.plate, tractor.home_site) == ("0012", site)
    assert TractorDetails.objects.get(unit=tractor).fuel_tank_gal == Decimal("120.0")
    assert [entry.kind for entry in HistoryEntry.objects.filter(unit=tractor)] == ["unit_added"]


def test_known_unit__is_changed_where_a_filled_cell_says_something_else(vera: Person) -> None:
    unit = make_unit(number="NL-11", plate="AB-1", make="Old")
    rows = [{"number": "nl-11", "plate": "0012", "make": "", "steering_assist": "power"}]
    report = take_in(Table.UNITS, rows, vera)
    assert outcomes(report) == {2: CHANGED}
    assert changes(report) == {2: [("plate", "AB-1", "0012"), ("steering_assist", "", "power")]}
    unit.refresh_from_db()
    assert (unit.number, unit.plate, unit.make, unit.version) == ("NL-11", "0012", "Old", 2)
    entry = HistoryEntry.objects.filter(unit=unit).order_by("sequence").last()
    assert entry is not None
    assert (entry.kind, entry.actor) == ("unit_edited", vera)


def test_same_table_again__changes_nothing(vera: Person) -> None:
    rows = [{"kind": "cooling_unit", "number": "CU-1", "unusable_gal": "2.5", "in_control_since": "2026-03-02"}]
    take_in(Table.UNITS, rows, vera)
    before = contents()
    assert outcomes(take_in(Table.UNITS, rows, vera)) == {2: UNCHANGED}
    assert contents() == before


@pytest.mark.parametrize("mode", [ImportMode.DRY_RUN, ImportMode.ALL_OR_NOTHING])
def test_one_bad_row__nothing_is_written_unless_in_part(vera: Person, mode: ImportMode) -> None:
    make_unit(number="NL-2", plate="OLD")
    rows = [
        {"kind": "tractor", "number": "NL-1", "plate": "A"},
        {"kind": "tractor", "number": "NL-2", "plate": "B"},
        {"kind": "boat", "number": "NL-3", "plate": "C"},
    ]
    before = contents()
    if mode is ImportMode.DRY_RUN:
        assert outcomes(take_in(Table.UNITS, rows, vera, mode)) == {2: CREATED, 3: CHANGED, 4: REFUSED}
    else:
        with pytest.raises(Invalid) as caught:
            take_in(Table.UNITS, rows, vera, mode)
        assert [(p.pointer, p.code) for p in caught.value.problems] == [("/rows/4/kind", "cell_not_among_choices")]
    assert contents() == before
    assert outcomes(take_in(Table.UNITS, rows, vera, ImportMode.PARTIAL)) == {2: CREATED, 3: CHANGED, 4: REFUSED}
    assert Unit.objects.get(number="NL-2").plate == "B"


def test_rows_that_break_a_rule__say_row_column_and_rule(vera: Person) -> None:
    make_unit(UnitKind.TRAILER, "LR-1")
    make_unit(number="NL-1", vin="BZTTKAA33PA016011")
    blank = {
        "kind": "tractor",
        "number": "X",
        "owner": "",
        "vin": "",
        "model_year": "",
        "home_site": "",
        "tank_gal": "",
    }
    rows = [
        blank | {"vin": "BZTTKAA33PA016011"},
        blank | {"number": "Y", "vin": "BZTTKAA34PA016011", "model_year": "1812"},
        blank | {"number": "Z", "tank_gal": "50.0"},
        blank | {"number": "W", "home_site": "nowhere"},
        blank | {"number": "LR-1"},
        blank | {"number": "Q", "kind": ""},
        blank | {"number": "no blanks please"},
        blank | {"number": "A@B"},
        blank | {"number": "x", "vin": ""},
        blank | {"number": "", "model_year": "twenty"},
    ]
    assert problems(take_in(Table.UNITS, rows, vera)) == {
        2: [("vin", "vin_taken")],
        3: [("vin", "vin_check_digit"), ("model_year", "model_year_implausible")],
        4: [("tank_gal", "column_not_of_kind")],
        5: [("home_site", "site_unknown")],
        6: [("kind", "import_kind_differs")],
        7: [("kind", "required")],
        8: [("number", "unit_number_malformed")],
        9: [("number", "unit_number_malformed")],
        10: [("", "row_twice")],
        11: [("number", "required"), ("model_year", "not_whole")],
    }
    assert Unit.objects.count() == 2


def test_unit_of_others__is_named_by_number_and_owner(vera: Person) -> None:
    ours = make_unit(number="QX-1")
    rows = [{"kind": "tractor", "number": "QX-1", "owner": "Gravelspoon Foods", "make": "Theirs"}]
    report = take_in(Table.UNITS, rows, vera)
    assert [(row.outcome, row.name) for row in report.rows] == [(CREATED, "QX-1@Gravelspoon Foods")]
    ours.refresh_from_db()
    assert ours.make == ""


def test_axles__are_taken_in_for_each_unit_together(vera: Person) -> None:
    tractor, trailer = make_unit(number="NL-1"), make_unit(UnitKind.TRAILER, "LR-1", axles=[])
    rows = [
        {
            "unit": "NL-1",
            "number": "2",
            "role": "drive",
            "dual": "yes",
            "brake_type": "drum",
            "target_psi": "",
            "max_psi": "",
        },
        {
            "unit": "NL-1",
            "number": "3",
            "role": "drive",
            "dual": "true",
            "brake_type": "",
            "target_psi": "100",
            "max_psi": "90",
        },
        {
            "unit": "LR-1",
            "number": "1",
            "role": "trailer",
            "dual": "true",
            "brake_type": "",
            "target_psi": "",
            "max_psi": "",
        },
        {
            "unit": "LR-2",
            "number": "1",
            "role": "trailer",
            "dual": "true",
            "brake_type": "",
            "target_psi": "",
            "max_psi": "",
        },
    ]
    report = take_in(Table.AXLES, rows, vera)
    assert problems(report) == {
        2: [("", "axle_beside_refused")],
        3: [("target_psi", "axle_target_over_most")],
        5: [("unit", "unit_unknown")],
    }
    assert outcomes(report)[4] is CREATED
    assert Axle.objects.filter(unit=tractor, brake_type="drum").count() == 0
    assert list(Axle.objects.filter(unit=trailer).values_list("number", "role", "dual")) == [(1, "trailer", True)]
    mended = take_in(Table.AXLES, rows[:1], vera)
    assert (outcomes(mended), changes(mended)) == ({2: CHANGED}, {2: [("brake_type", "", "drum")]})
    assert list(tractor.axles.order_by("number").values_list("number", "brake_type")) == [(1, ""), (2, "drum")]
    assert outcomes(take_in(Table.AXLES, rows[:1], vera)) == {2: UNCHANGED}


def test_axles_that_leave_a_gap_or_do_not_fit_the_kind__are_refused(vera: Person) -> None:
    make_unit(number="NL-1")
    make_unit(UnitKind.TRAILER, "LR-1", axles=[])
    rows = [
        {"unit": "NL-1", "number": "4", "role": "drive", "dual": "true"},
        {"unit": "LR-1", "number": "1", "role": "steer", "dual": "true"},
    ]
    assert problems(take_in(Table.AXLES, rows, vera)) == {
        2: [("number", "axle_numbers_with_gap")],
        3: [("role", "axle_role_not_of_kind")],
    }
