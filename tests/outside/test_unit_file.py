"""49 CFR 396.3(b)(1) to (b)(3), paragraph by paragraph, against a unit's file as an auditor gets it over HTTP.

Source: 49 CFR 396.3 (amended 73 FR 75824, 17 Dec 2008; read in a copy of the regulation). What a paragraph asks is
typed here in our own words; the demo carrier's facts are typed from its fixture. The file itself is opened by readers
that are none of ours: pypdf for the PDF (ISO 32000), `unzip` and Python's zipfile for the archive, `sha256sum -c` for
the hashes.
"""

import shutil
import subprocess
from datetime import datetime
from pathlib import Path
from typing import Any
from zipfile import ZipFile
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.hashers import make_password
from pypdf import PdfReader
from pytest_django.plugin import DjangoDbBlocker

from common import clock
from config.database_url import Database
from defects.models import Defect, Hold
from fixtures.demo.sign_ins import PASSWORD
from fleet.enums import Role
from tests.factories.fleet import make_person
from tests.support.acting import acting_as
from tests.support.defects import certify, lamp_out, lift, reviewed, signature, told_in_words, walk_in
from tests.support.needs import need_program
from tests.support.ninefold import loaded_database
from tests.support.prepared import rolled_back
from tests.support.unit_files import Unpacked, unpack
from tests.support.walks import check


def asked_for(unit: str, place: Path, username: str = "vera", **query: str) -> Unpacked:
    answer: Any = acting_as(username).get(f"units/{unit}/file", **query)
    assert answer.status_code == 200
    packed = place / "file.zip"
    packed.write_bytes(b"".join(answer.streaming_content))
    return unpack(packed)


def between(text: str, heading: str, following: str) -> str:
    """What stands between two headings, the contents at the beginning left out."""
    return text.rpartition(heading)[2].partition(following)[0]


@pytest.fixture(scope="module")
def made(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
    migrated_template: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> Unpacked:
    with django_db_blocker.unblock():
        loaded = loaded_database(database_server, migrated_template)
    with rolled_back(loaded.rolling, django_db_blocker):
        answer = certify("greta", lamp_out(), statement="Lamp replaced and lit")
        assert answer.status_code == 200
        reviewed("sol", "LR-46")
        told_in_words("tomo")
        return asked_for("LR-46", tmp_path_factory.mktemp("made"))


@pytest.fixture
def file(made: Unpacked, tmp_path: Path) -> Unpacked:
    """LR-46 after a lamp was reported, repaired, certified and reviewed, and a fault reported in words."""
    return made.copied(tmp_path)


def test_b1_number_make_serial_year_and_tire_size(file: Unpacked) -> None:
    """(b)(1): company number if so marked, make, serial number, year, tire size."""
    shown = between(file.shown, "Identity of the unit", "Inspections and maintenance to come")
    for element in ("LR-46", "Larderstead", "BZRRF5324NA016046", "2022", "295/75R22.5"):
        assert element in shown, element
    assert "not recorded" not in shown


@pytest.mark.usefixtures("ninefold")
def test_b1_whoever_furnishes_a_unit_that_the_carrier_does_not_own(tmp_path: Path) -> None:
    """(b)(1): the name of whoever furnishes the vehicle, if it is not owned by the carrier."""
    body = {"number": "QX-9003", "owner": "Wobblecurd Dairies", "make": "Larderstead", "axles": []}
    assert acting_as("hob").post("trailers", body).status_code == 201
    shown = between(
        asked_for("QX-9003@Wobblecurd%20Dairies", tmp_path).shown, "Identity of the unit", "Inspections and"
    )
    assert "Furnished by, where not owned by the carrier Wobblecurd Dairies" in shown
    assert "Tire size not recorded" in shown


def test_b2_nature_and_due_date_of_what_is_to_come(file: Unpacked) -> None:
    """(b)(2): a means to indicate the nature and due date of the inspections and maintenance to be performed."""
    due = {row["what"]["en"]: row["on"] for row in file.records("schedule") if row["nature"] == "document"}
    assert set(due) == {"registration", "periodic inspection"}
    shown = between(file.shown, "Inspections and maintenance to come", "Periodic inspections")
    for nature, day in due.items():
        assert f"{nature} {day}" in shown
    assert "repair knocks when turning no expected time repair order" in shown


def test_b3_date_and_nature_of_inspection_repair_and_maintenance(file: Unpacked) -> None:
    """(b)(3): a record of inspection, repair and maintenance with date and nature."""
    text = file.shown
    [inspection] = file.records("periodic_inspections")
    assert inspection["starts_on"] in between(text, "Periodic inspections", "Repairs by the carrier's shop")
    [task] = [task for order in file.records("repair_orders") for task in order["tasks"] if task["state"] == "done"]
    repairs = between(text, "Repairs by the carrier's shop", "Repairs by outside firms")
    day = datetime.fromisoformat(task["done_at"]).astimezone(ZoneInfo("America/Chicago")).date()
    assert f"Lamp replaced and lit {day}" in repairs
    reports = between(text, "Driver vehicle inspection reports", "Defects 49 CFR")
    for signer in ("Iris Quade", "Greta Lind", "Sol Marrin", "Tomo Vell"):
        assert signer in reports, signer
    assert ("no certificate" in reports, "review not signed" in reports) == (True, True)


def test_pdf__every_page_names_the_unit_and_bookmarks_lead_to_sections(file: Unpacked) -> None:
    reader = PdfReader(file.folder / "file.pdf")
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert len(pages) >= 3
    for number, page in enumerate(pages, 1):
        assert "LR-46 - Ninefold Larder Lines, USDOT 0000000" in page
        assert f"page {number} of {len(pages)}" in page
    assert reader.metadata is not None
    assert reader.metadata.title == "Maintenance file of unit LR-46"
    for entry in reader.outline:
        assert not isinstance(entry, list)
        place = reader.get_destination_page_number(entry)
        assert place is not None
        assert str(entry.title) in pages[place]


@pytest.mark.usefixtures("ninefold")
def test_pdf_for_a_reader_of_spanish__is_in_spanish_with_its_accents(tmp_path: Path) -> None:
    vera = acting_as("vera").get("me").json()["person"]["id"]
    seen = acting_as("vera").get(f"people/{vera}")
    changed = acting_as("vera").patch(f"people/{vera}", {"language": "es"}, if_match=seen.headers["ETag"])
    assert changed.status_code == 200, changed.content
    text = asked_for("LR-46", tmp_path).shown
    for words in (
        "Expediente de mantenimiento de la unidad LR-46",
        "Inspecciones periódicas",
        "Año del modelo",
        "página 1 de",
    ):
        assert words in text, words


def test_archive__is_sound_to_unzip_and_to_zipfile(file: Unpacked) -> None:
    with ZipFile(file.packed) as archive:
        assert archive.testzip() is None
    done = subprocess.run([need_program("unzip"), "-tq", str(file.packed)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout.startswith("No errors detected")) == (0, True), done.stdout


def test_hashes__are_borne_out_by_sha256sum_until_a_byte_is_changed(file: Unpacked) -> None:
    program = shutil.which("sha256sum")
    assert program is not None
    command = [program, "--check", "--strict", "SHA256SUMS"]
    done = subprocess.run(command, cwd=file.folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) == len(file.manifest["files"]) + 1
    with (file.folder / "records" / "history.json").open("ab") as changed:
        changed.write(b" ")
    done = subprocess.run(command, cwd=file.folder, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "records/history.json: FAILED" in done.stdout


@pytest.mark.usefixtures("ninefold")
def test_error_in_entry__shown_with_who_signed_and_the_lift_is_flagged(tmp_path: Path) -> None:
    """What was not repaired but entered in error is no maintenance: an auditor sees whose word that is."""
    found = walk_in("iris", [check("brakes.trailer.emergency-application", "", "defect")])["units"][0]["found"][0]
    defect = Defect.objects.get(pk=found["id"])
    tested = {"passed": True, "tested_at": clock.now().isoformat(), "note": "set at once and held"}
    assert acting_as("sol").post(f"defects/{defect.number}/repeated-tests", tested).status_code == 201
    error = acting_as("hob").act(
        f"defects/{defect.number}", "entered-in-error", {"reason": "valve was shut", "signature": signature()}
    )
    assert error.status_code == 200, error.content
    other = make_person("Ida Fell", Role.FOREMAN, username="ida", password=make_password(PASSWORD))
    assert lift(other.username or "", Hold.objects.get(defect=defect)).status_code == 200
    file = asked_for("LR-46", tmp_path)
    shown = file.shown
    assert "valve was shut" in shown
    assert "Lifted because a defect was entered in error." in shown
    [kept] = file.records("defects")
    assert (kept["entered_in_error"]["shown_how"], kept["repeated_tests"][0]["note"]) == (
        "repeated_test",
        "set at once and held",
    )
