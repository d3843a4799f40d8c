"""What is in a unit's file: every record of its days, its scans and photos, and the note of who was given it."""

import json
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from common.canonical import canonical_json
from common.errors import Invalid
from defects.models import Photo
from fleet.models import HistoryEntry, Signature
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.sections import FileScope, sections
from tests.factories.fleet import FileRemovalFactory
from tests.integration.fleet.records.unit_file.conftest import PHOTO, SCAN
from tests.support.stored_files import path_of
from tests.support.unit_files import Unpacked, made_file
from tests.support.yard import HOUR, Yard, stroke_check


def test_file__has_each_section_the_pdf_the_scans_and_the_script(file: Unpacked) -> None:
    inspection, certificate = file.records("periodic_inspections")[0], file.records("certificates")[0]
    names = [entry["path"] for entry in file.manifest["files"]]
    assert names == [
        "README.txt",
        *(f"records/{section.name}.json" for section in sections()),
        *sorted([f"photos/{certificate['photo']}.jpg", f"scans/{inspection['scan']}.pdf"], key=lambda n: n[-68:]),
        "file.pdf",
        "verify.py",
    ]
    assert (file.folder / f"scans/{inspection['scan']}.pdf").read_bytes() == SCAN
    assert (file.folder / f"photos/{certificate['photo']}.jpg").read_bytes() == PHOTO
    assert file.manifest["not_included"] == []


def test_report__carries_the_drivers_signature_the_certificate_and_the_review(file: Unpacked) -> None:
    first, second = file.records("driver_reports")
    [found] = first["found"]
    [certificate] = found["certificates"]
    assert first["signature"]["signer"]["name"] == "Iris Quade"
    assert (certificate["kind"], certificate["signature"]["signer"]["name"]) == ("repaired", "Greta Lind")
    assert [review["signature"]["signer"]["name"] for review in first["reviews"]] == ["Sol Marrin"]
    assert (second["review_due"], second["reviews"], second["found"][0]["certificates"]) == (True, [], [])


def test_same_records_and_instant__same_bytes(yard: Yard, tmp_path: Path) -> None:
    made = []
    for name in ("once", "again"):
        with transaction.atomic():
            made.append(made_file(yard.trailer, yard["vera"], yard.now, tmp_path, name=name).packed.read_bytes())
            transaction.set_rollback(True)  # so that the second does not find the note of the first
    assert made[0] == made[1]


def test_clearance_request__stands_in_the_history_with_the_manifests_hash(file: Unpacked, yard: Yard) -> None:
    code, said = file.verify()
    entry = HistoryEntry.objects.select_related("content").get(unit=yard.trailer, kind="file_made")
    assert code == 0
    assert f'"manifest":"{said[1].removeprefix("manifest SHA-256 ")}"' in entry.content.body
    assert entry.actor_id == yard["vera"].pk


def test_days_chosen__cut_the_records_but_never_identity_inspections_or_history(yard: Yard, tmp_path: Path) -> None:
    yard.later(48 * HOUR)
    yard.stroke("2.5", by="sol")
    file = made_file(yard.trailer, yard["vera"], yard.now, tmp_path, since=yard.now.date())
    whole = made_file(yard.trailer, yard["vera"], yard.now, tmp_path, name="whole")
    assert [len(found.records("driver_reports")) for found in (file, whole)] == [1, 3]
    assert [len(found.records("certificates")) for found in (file, whole)] == [0, 1]
    # The fault in words still stands, so it belongs to these days too.
    assert [len(found.records("defects")) for found in (file, whole)] == [2, 3]
    for section in ("unit", "periodic_inspections"):
        assert len(file.records(section)) == len(whole.records(section)) == 1
    assert len(file.records("history")) == len(whole.records("history")) - 1
    none = made_file(yard.trailer, yard["vera"], yard.now, tmp_path, name="none", until=date(2026, 1, 1))
    assert none.records("driver_reports") == none.records("defects") == []


def test_day_itself__is_included_at_both_ends_in_the_carriers_zone(yard: Yard, tmp_path: Path) -> None:
    """The reports are of 6 March 2026 in Chicago."""
    for since, until, expected in (
        (date(2026, 3, 6), date(2026, 3, 6), 2),
        (date(2026, 3, 7), None, 0),
        (None, date(2026, 3, 5), 0),
    ):
        file = made_file(yard.trailer, None, yard.now, tmp_path, name=f"{since}-{until}", since=since, until=until)
        assert len(file.records("driver_reports")) == expected


def test_last_day_before_the_first__is_refused_and_nothing_is_noted(yard: Yard, tmp_path: Path) -> None:
    with pytest.raises(Invalid, match="file_days_turned"):
        made_file(yard.trailer, None, yard.now, tmp_path, since=date(2026, 3, 6), until=date(2026, 3, 5))
    assert not HistoryEntry.objects.filter(kind="file_made").exists()


def test_scan_lost_or_altered_on_the_disk__is_told_and_not_passed_over(yard: Yard, tmp_path: Path) -> None:
    scan, photo = yard.trailer.documents.get().file_id, Photo.objects.get().original_id
    assert scan is not None
    path_of(scan).unlink()
    path_of(photo).write_bytes(b"\xff\xd8\xff\xe0 something else")
    file = made_file(yard.trailer, yard["vera"], yard.now, tmp_path)
    assert sorted(file.manifest["not_included"], key=lambda fault: fault["why"]) == [
        {"sha256": photo, "why": "altered"},
        {"sha256": scan, "why": "lost"},
    ]
    assert file.verify()[0] == 0


def test_scan_deleted_after_its_days__is_told_from_one_that_was_lost(yard: Yard, tmp_path: Path) -> None:
    scan = yard.trailer.documents.get().file_id
    assert scan is not None
    FileRemovalFactory.create(file_id=scan, requested_at=yard.now, done_at=yard.now)
    path_of(scan).unlink()
    file = made_file(yard.trailer, yard["vera"], yard.now, tmp_path)
    assert file.manifest["not_included"] == [{"sha256": scan, "why": "deleted"}]


def test_photo_named_and_never_sent__is_told(yard: Yard, tmp_path: Path) -> None:
    yard.walk(checks=[stroke_check("2.6").model_copy(update={"photos": ["b" * 64]})])
    file = made_file(yard.trailer, yard["vera"], yard.now, tmp_path)
    assert file.records("driver_reports")[-1]["photos"] == [{"sha256": "b" * 64, "received": False, "is_picture": None}]
    assert file.manifest["not_included"] == [{"sha256": "b" * 64, "why": "not_received"}]


def statements(yard: Yard, place: Path, name: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        made_file(yard.trailer, yard["vera"], yard.now, place, name=name)
    return len(captured)


def test_statements__as_many_for_20_reports_with_all_that_hangs_on_them_as_for_2(yard: Yard, tmp_path: Path) -> None:
    few = statements(yard, tmp_path, "few")
    for place in range(9):
        yard.later(HOUR)
        defect = yard.finding("lamps.trailer.reflectors", "left", by="iris" if place % 2 else "sol")
        yard.certify(defect, photo="")
        yard.fault(f"knocks {place}")
    assert yard.trailer.reports.count() == 20
    assert statements(yard, tmp_path, "many") == few


def test_signed_at_the_ends_of_the_calendar__the_file_is_made_and_says_so(yard: Yard, tmp_path: Path) -> None:
    """Rows of a time when a phone's year 1 was stored as it came."""
    report = yard.trailer.reports.earliest("performed_at")
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("ALTER TABLE fleet_signature DISABLE TRIGGER USER")
    for year in (1, 9999):
        Signature.objects.filter(pk=report.signature_id).update(signed_at=datetime(year, 1, 1, tzinfo=UTC))
        file = made_file(yard.trailer, yard["vera"], yard.now, tmp_path, name=f"of-{year}")
        assert file.records("driver_reports")[0]["signature"]["signed_at"].startswith(f"{year:04}-01-01")
        assert file.verify()[0] == 0


def test_unreadable_record__is_one_line_and_the_others_are_written(
    yard: Yard, caplog: pytest.LogCaptureFixture
) -> None:
    words = Words("en", ZoneInfo("UTC"))
    section = next(section for section in sections() if section.name == "driver_reports")
    asked = FileScope(yard.trailer, None, None, "UTC", yard.now)
    broken, whole = [json.loads(canonical_json(record)) for record in section.read(asked)]
    del broken["signature"]["signer"]["name"]

    (line,) = section.lines(broken, words)

    assert [cell for cell in line if cell] == [
        f"Record {broken['id']} cannot be shown here. It is unchanged in records/driver_reports.json."
    ]
    assert len(line) == len(section.columns)
    assert section.lines(whole, words) == list(section.rows(whole, words))
    assert [record for record in caplog.records if record.exc_info]
