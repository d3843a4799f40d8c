"""Tables taken in over HTTP, as the person who fills them in meets them."""

import io

import pytest
from django.test import override_settings
from python_calamine import CalamineWorkbook

from common.tables.reading import CSV, XLSX
from fleet.enums import Role
from fleet.models import Person, Unit
from tests.factories.fleet import make_carrier, make_person, make_unit
from tests.support.acting import Device, acting_as, codes
from tests.support.contents import contents
from tests.support.workbooks import raw_workbook, text_cell, workbook

pytestmark = pytest.mark.django_db

TABLES = ("units", "axles", "documents", "people", "meter-readings")


@pytest.fixture
def vera() -> Device:
    make_carrier()
    return acting_as(Role.COMPLIANCE, name="Vera Holt")


@pytest.mark.parametrize("table", TABLES)
def test_template__taken_in_as_it_is__its_example_is_left_out(table: str) -> None:
    make_carrier()
    hob = acting_as(Role.ADMINISTRATOR)
    for ending, media_type in (("csv", CSV), ("xlsx", XLSX)):
        template = hob.get(f"imports/{table}/template.{ending}")
        assert template.headers["Content-Disposition"] == f'attachment; filename="{table}.{ending}"'
        before = Unit.objects.count(), Person.objects.count()
        answer = hob.post_file(f"imports/{table}?mode=all_or_nothing", template.content, media_type)
        assert (answer.status_code, answer.json()["counts"]["example"]) == (200, 1), answer.content
        assert (Unit.objects.count(), Person.objects.count()) == before


@pytest.mark.parametrize("table", TABLES)
def test_example_of_a_template__is_sound_once_its_unit_is_there(table: str) -> None:
    make_carrier()
    hob = acting_as(Role.ADMINISTRATOR)
    if table != "units":
        make_unit(number="NL-19", axles=[])
    lines = hob.get(f"imports/{table}/template.csv").content.split(b"\r\n")
    shifted = b"\r\n".join(line + extra for line, extra in zip(lines[:2], (b"", b""), strict=True))
    changed = shifted.replace(b"Ninefold pattern", b"Another").replace(b"120345.6", b"5.0").replace(b"110", b"105")
    changed = changed.replace(b"Secretary of State", b"DMV").replace(b"Nils Example", b"Nils Other")
    answer = hob.post_file(f"imports/{table}?mode=all_or_nothing", changed, CSV)
    assert (answer.status_code, answer.json().get("counts", {}).get("created")) == (200, 1), answer.content


def test_workbook_template__has_lists_of_choices_and_a_guide_in_ones_language() -> None:
    make_carrier()
    content = (
        acting_as(make_person("Vera Holt", Role.COMPLIANCE, language="es")).get("imports/units/template.xlsx").content
    )
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    assert book.sheet_names == ["units", "lists", "guide"]
    kinds = [row[0] for row in book.get_sheet_by_name("lists").to_python(skip_empty_area=False)]
    assert kinds[:3] == ["tractor", "trailer", "cooling_unit"]
    guide = book.get_sheet_by_name("guide").to_python(skip_empty_area=False)
    assert [row[0] for row in guide[5:8]] == ["kind", "number", "owner"]
    assert guide[4][0] == "columna"


def test_workbook__is_mended_by_row_and_column_and_then_taken_in(vera: Device) -> None:
    header = ["kind", "number", "plate", "model_year"]
    bad = workbook({"units": [header, ["tractor", 11, "0012", 2024], ["tractor", "NL-12", 12, "soon"]]})
    told = vera.post_file("imports/units", bad, XLSX).json()
    assert (told["mode"], told["applied"]) == ("dry_run", False)
    assert told["counts"] == {"created": 1, "flagged": 0, "changed": 0, "unchanged": 0, "refused": 1, "example": 0}
    assert [(row["row"], row["outcome"], row["name"]) for row in told["rows"]] == [
        (2, "created", "11"),
        (3, "refused", ""),
    ]
    assert told["rows"][1]["problems"] == [
        {
            "column": "plate",
            "code": "cell_is_number",
            "detail": "The cell contains a number. Format it as text to keep leading zeros.",
        },
        {"column": "model_year", "code": "not_whole", "detail": "A whole number is expected."},
    ]
    assert not Unit.objects.exists()
    whole = vera.post_file("imports/units?mode=all_or_nothing", bad, XLSX)
    assert (whole.status_code, whole.json()["code"], whole.json()["refused"]) == (422, "import_refused", 1)
    assert codes(whole) == [("/rows/3/plate", "cell_is_number"), ("/rows/3/model_year", "not_whole")]
    assert {key: whole.json()["errors"][0][key] for key in ("row", "column")} == {"row": 3, "column": "plate"}
    good = workbook({"units": [header, ["tractor", 11, "0012", 2024], ["tractor", "NL-12", "012", 2025]]})
    taken = vera.post_file("imports/units?mode=all_or_nothing", good, XLSX)
    assert taken.json()["counts"]["created"] == 2
    assert sorted(Unit.objects.values_list("number", "plate")) == [("11", "0012"), ("NL-12", "012")]


def test_problems__are_told_in_the_persons_language() -> None:
    make_carrier()
    wen = acting_as(make_person("Wen Castel", Role.COMPLIANCE, language="es"))
    told = wen.post_file("imports/units", b"number,model_year\r\nNL-1,soon\r\n", CSV).json()
    assert told["rows"][0]["problems"][0]["detail"] == "Se espera un número entero."


def test_workbook_whose_cells_are_not_where_it_says__is_refused_with_the_row(vera: Device) -> None:
    before = contents()
    cell = text_cell("CU2", "NL-1")
    bad = raw_workbook(f'<row r="1">{text_cell("A1", "number")}</row><row r="1048576">{cell}<c><v>1</v></c></row>')
    answer = vera.post_file("imports/units", bad, XLSX)
    assert (answer.status_code, answer.json()["code"], answer.json()["row"]) == (422, "table_cells_misplaced", 1048576)
    assert contents() == before


def test_header__is_refused_with_each_column_that_is_wrong(vera: Device) -> None:
    before = contents()
    answer = vera.post_file("imports/documents?mode=partial", b"unit,number,Number,colour\r\nNL-1,1,1,red\r\n", CSV)
    assert (answer.status_code, answer.json()["code"]) == (422, "table_header_refused")
    assert codes(answer) == [
        ("/header/4", "column_unknown"),
        ("/header", "column_twice"),
        ("/header", "column_missing"),
    ]
    assert contents() == before


def test_ragged_row_nul_and_lone_surrogate__are_refused_row_by_row_or_whole(vera: Device) -> None:
    ragged = vera.post_file(
        "imports/units", b"number,make,kind\r\nNL-1,A, Inc,tractor\r\nNL-2,B,tractor\r\n", CSV
    ).json()
    assert [(row["row"], row["outcome"]) for row in ragged["rows"]] == [(2, "refused"), (3, "created")]
    assert ragged["rows"][0]["problems"][0]["detail"].startswith("The row has 4 cells, the header 3")
    for content, code in (
        (b"number\r\nNL\x00\r\n", "table_nul"),
        (b"number\r\n\xed\xa0\x80\r\n", "table_not_utf8"),
        (b"", "table_empty"),
    ):
        answer = vera.post_file("imports/units?mode=partial", content, CSV)
        assert (answer.status_code, answer.json()["code"]) == (400, code)


def test_formula_in_a_workbook__refuses_its_row(vera: Device) -> None:
    content = workbook(
        {"units": [["kind", "number", "make"], ["tractor", "NL-1", "=1+1"], ["tractor", "NL-2", "'=1+1"]]}
    )
    told = vera.post_file("imports/units?mode=partial", content, XLSX).json()
    assert told["counts"]["created"] == 2
    assert sorted(Unit.objects.values_list("number", "make")) == [("NL-1", "=1+1"), ("NL-2", "=1+1")]


def test_caps__are_settings_and_refuse_the_whole_file(vera: Device) -> None:
    with override_settings(IMPORT_MAX_ROWS=1):
        answer = vera.post_file("imports/units?mode=partial", b"kind,number\r\ntractor,A\r\ntractor,B\r\n", CSV)
    assert (answer.status_code, answer.json()["code"], answer.json()["max_rows"]) == (422, "table_too_many_rows", 1)
    with override_settings(IMPORT_MAX_BYTES=10):
        answer = vera.post_file("imports/units?mode=partial", b"kind,number\r\n", CSV)
    assert (answer.status_code, answer.json()["code"], answer.json()["max_bytes"]) == (413, "table_too_large", 10)
    assert not Unit.objects.exists()


def test_same_request_again__is_answered_again_and_written_once(vera: Device) -> None:
    content = b"kind,number\r\ntractor,NL-1\r\n"
    first = vera.post_file("imports/units?mode=partial", content, CSV, key="first-import")
    before = contents()
    again = vera.post_file("imports/units?mode=partial", content, CSV, key="first-import")
    assert (again.json(), again.headers["Idempotency-Replayed"]) == (first.json(), "true")
    other = vera.post_file("imports/units?mode=partial", content + b"tractor,NL-2\r\n", CSV, key="first-import")
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_key_reused")
    assert contents() == before


def test_mode_that_there_is_not__is_refused(vera: Device) -> None:
    answer = vera.post_file("imports/units?mode=perhaps", b"kind,number\r\ntractor,NL-1\r\n", CSV)
    assert (answer.status_code, codes(answer)) == (400, [("mode", "invalid_choice")])


def test_columns__are_described_in_the_readers_language(vera: Device) -> None:
    columns = {column["name"]: column for column in vera.get("imports/units").json()}
    assert (columns["number"]["needed"], columns["vin"]["needed"]) == (True, False)
    assert columns["steering_assist"]["choices"] == ["power", "manual"]


def test_on_record__is_the_table_to_be_mended_and_sent_back(vera: Device) -> None:
    make_unit(number="NL-1", make="=cmd")
    content = vera.get("imports/units/on-record.csv").getvalue()
    assert b"tractor,NL-1,,,,'=cmd," in content
    told = vera.post_file("imports/units?mode=all_or_nothing", content.replace(b"'=cmd", b"Plain"), CSV).json()
    assert told["rows"][0]["changes"] == [{"column": "make", "before": "=cmd", "after": "Plain"}]
    assert told["counts"]["changed"] == 1
