"""Documents and their scans over HTTP."""

import datetime as dt
from pathlib import Path

import pytest
import time_machine

from common.canonical import sha256_hex
from fleet.enums import Role, UnitKind
from fleet.models import Document
from fleet.services.carrier.policies import set_policy
from tests.factories.fleet import NOON, make_document, make_person, make_unit
from tests.support.acting import Device, acting_as, codes
from tests.support.pictures import jpeg

pytestmark = pytest.mark.usefixtures("carrier")
PDF = b"%PDF-1.7 a scan"


@pytest.fixture
def desk() -> Device:
    return acting_as(Role.COMPLIANCE)


def inspection(**changes: object) -> dict[str, object]:
    by = {"program": "agent", "inspector": "Ned Pell", "issuer": "Pell", "evidence_held_by": "Pell"}
    return {"kind": "periodic_inspection", "unit": "LR-44", "starts_on": "2025-03-13", **by, **changes}


class TestDocuments:
    def test_inspection__shows_both_readings_and_what_counts(self, desk: Device) -> None:
        make_unit(UnitKind.TRAILER, "LR-44")
        told = desk.post("documents", inspection()).json()
        assert (told["ends_on"], told["ends_on_month"], told["last_day"]) == ("2026-03-12", "2026-03-31", "2026-03-12")
        assert (told["status"], told["unit"]["number"]) == ("due", "LR-44")

    def test_reading_by_month_end__is_the_carriers_decision(self, desk: Device) -> None:
        make_unit(UnitKind.TRAILER, "LR-44")
        office = make_person("Vera Holt", Role.COMPLIANCE)
        set_policy(
            key="periodic_inspection_reading", value="by_month_end", valid_from=None, reason="", actor=office, now=NOON
        )
        assert desk.post("documents", inspection()).json()["last_day"] == "2026-03-31"

    @pytest.mark.usefixtures("media")
    def test_documents_of_a_combination__in_one_answer_with_their_scans(self, desk: Device) -> None:
        names = ("NL-11", "LR-41", "LR-42")
        tractor, trailer, _ = (make_document(unit=make_unit(UnitKind.TRAILER, name)) for name in names)
        desk.put_file(f"documents/{trailer.pk}/file", PDF, "application/pdf", if_match='"1"')
        driver = acting_as(Role.DRIVER)
        rows = driver.get("documents", unit=["NL-11", "LR-41"]).json()["results"]
        assert {row["id"]: row["file_url"] for row in rows} == {
            str(tractor.pk): None,
            str(trailer.pk): f"/api/v1/documents/{trailer.pk}/file",
        }
        assert driver.get(f"documents/{trailer.pk}/file").content == PDF
        refused = driver.get("documents", unit=["NL-11", "NL-99"])
        assert (refused.status_code, codes(refused)) == (400, [("unit", "unit_unknown")])

    @pytest.mark.parametrize(
        ("instant", "status"),
        [
            (dt.datetime(2026, 3, 13, 4, 59, 59, tzinfo=dt.UTC), "due"),
            (dt.datetime(2026, 3, 13, 5, 0, tzinfo=dt.UTC), "expired"),
        ],
    )
    def test_last_day__ends_at_midnight_in_chicago_in_summer_time(
        self, desk: Device, frozen_clock: time_machine.Traveller, instant: dt.datetime, status: str
    ) -> None:
        make_unit(UnitKind.TRAILER, "LR-44")
        key = desk.post("documents", inspection()).json()["id"]
        frozen_clock.move_to(instant)
        assert desk.get(f"documents/{key}").json()["status"] == status

    @pytest.mark.parametrize(
        ("change", "status", "expected"),
        [
            ({"starts_on": "2026-03-07"}, 422, [("/starts_on", "date_in_future")]),
            ({"starts_on": None}, 422, [("/starts_on", "period_required")]),
            ({"ends_on": "2027-01-01"}, 422, [("/ends_on", "period_end_is_computed")]),
            ({"kind": "passport"}, 422, [("/kind", "document_kind_unknown")]),
            ({"unit": "LR-99"}, 422, [("/unit", "unit_unknown")]),
            ({"person": "019a0000-0000-7000-8000-000000000404"}, 422, [("/person", "document_two_subjects")]),
            ({"unit": None, "person": "019a0000-0000-7000-8000-000000000404"}, 422, [("/person", "person_unknown")]),
            ({"starts_on": "2025-02-30"}, 422, [("/starts_on", "not_a_day")]),
        ],
    )
    def test_body_that_does_not_do__is_refused(
        self, desk: Device, change: dict[str, object], status: int, expected: list[tuple[str, str]]
    ) -> None:
        make_unit(UnitKind.TRAILER, "LR-44")
        answer = desk.post("documents", inspection(**change))
        assert (answer.status_code, codes(answer)) == (status, expected)
        assert not Document.objects.exists()

    def test_kind_that_nobody_knows__is_refused_with_those_that_are(self, desk: Device) -> None:
        make_unit(UnitKind.TRAILER, "LR-44")
        (problem,) = desk.post("documents", inspection(kind="passport")).json()["errors"]
        assert {"registration", "periodic_inspection"} <= set(problem["allowed"])
        assert problem["detail"].startswith("There is no such kind of document. Known are: ")

    def test_second_current_document__is_a_conflict_that_names_the_first(self, desk: Device) -> None:
        make_unit(UnitKind.TRAILER, "LR-44")
        first = desk.post("documents", inspection()).json()["id"]
        second = desk.post("documents", inspection())
        assert (second.status_code, second.json()["code"], second.json()["document"]) == (
            409,
            "document_current_exists",
            first,
        )

    def test_superseded_document__is_followed_by_the_new_one(self, desk: Device) -> None:
        old = make_document()
        body = {"starts_on": "2026-07-01", "ends_on": "2027-06-30"}
        assert desk.post(f"documents/{old.pk}/replace", body).json()["code"] == "if_match_required"
        new = desk.post(f"documents/{old.pk}/replace", body, if_match='"1"')
        assert (new.status_code, new.json()["ends_on"]) == (201, "2027-06-30")
        assert new.headers["Location"] == f"/api/v1/documents/{new.json()['id']}"
        told = desk.get(f"documents/{old.pk}").json()
        assert (told["status"], told["superseded_by"], told["allowed_actions"]) == ("superseded", new.json()["id"], [])
        assert [row["id"] for row in desk.get("documents").json()["results"]] == [new.json()["id"]]
        assert [row["id"] for row in desk.get("documents", open="false").json()["results"]] == [str(old.pk)]

    def test_edited_document__needs_its_version(self, desk: Device) -> None:
        document = make_document()
        stale = desk.patch(f"documents/{document.pk}", {"number": "B"}, if_match='"2"')
        assert (stale.status_code, stale.json()["code"]) == (412, "version_changed")
        told = desk.patch(f"documents/{document.pk}", {"number": "B"}, if_match='"1"')
        assert (told.status_code, told.json()["number"], told.json()["version"]) == (200, "B", 2)

    def test_foreman__records_a_units_document_and_not_a_persons(self) -> None:
        foreman, driver = acting_as(Role.FOREMAN), make_person("Ada Brisk", Role.DRIVER)
        make_unit(UnitKind.TRAILER, "LR-44")
        assert foreman.post("documents", inspection()).status_code == 201
        body = {"kind": "medical_certificate", "person": str(driver.pk), "ends_on": "2027-01-01"}
        answer = foreman.post("documents", body)
        assert (answer.status_code, answer.json()["code"]) == (403, "not_your_documents")


@pytest.mark.usefixtures("media")
class TestScans:
    def test_scan__is_kept_and_given_back_as_it_was(self, desk: Device) -> None:
        document = make_document()
        path = f"documents/{document.pk}/file"
        assert desk.get(path).json()["code"] == "file_missing"
        put = desk.put_file(path, PDF, "application/pdf", if_match='"1"')
        assert (put.status_code, put.headers["ETag"]) == (204, '"2"')
        got = desk.get(path)
        assert (got.status_code, got.content, got.headers["Content-Type"]) == (200, PDF, "application/pdf")
        assert got.headers["Content-Disposition"] == f'attachment; filename="{document.pk}.pdf"'
        assert got.headers["X-Content-Type-Options"] == "nosniff"
        told = desk.get(f"documents/{document.pk}").json()
        assert (told["file"], told["file_url"]) == (sha256_hex(PDF), f"/api/v1/{path}")

    @pytest.mark.parametrize("media_type", ["", "application/octet-stream"])
    def test_file_announced_as_nothing_in_particular__is_what_its_content_says(
        self, desk: Device, media: Path, media_type: str
    ) -> None:
        document = make_document()
        assert desk.put_file(f"documents/{document.pk}/file", PDF, media_type, if_match='"1"').status_code == 204
        assert desk.get(f"documents/{document.pk}/file").headers["Content-Type"] == "application/pdf"

    @pytest.mark.parametrize(
        ("content", "media_type", "status", "code"),
        [
            (PDF, "image/png", 422, "file_mislabelled"),
            (b"\x89PNG\r\n\x1a\n a picture", "application/pdf", 422, "file_mislabelled"),
            (b"\xff\xd8\xff\xe0 a picture", "image/png", 422, "file_mislabelled"),
            (b"\xff\xd8\xff\xe0 a picture", "image/jpeg", 422, "photo_unreadable"),
            (b"MZ\x90 a program", "application/pdf", 422, "file_type_refused"),
            (b"RIFF\x24\x00\x00\x00WEBPVP8 ", "image/webp", 422, "file_type_refused"),
            (b"\x00\x00\x00\x18ftypheic\x00\x00", "image/heic", 422, "file_type_refused"),
            (b"<html></html>", "text/html", 422, "file_type_refused"),
            (b"", "application/pdf", 422, "file_empty"),
            (b"%PDF-" + b"x" * (15 * 1024 * 1024), "application/pdf", 413, "file_too_large"),
        ],
    )
    def test_file_that_is_not_taken__changes_nothing(
        self, desk: Device, media: Path, content: bytes, media_type: str, status: int, code: str
    ) -> None:
        document = make_document()
        answer = desk.put_file(f"documents/{document.pk}/file", content, media_type, if_match='"1"')
        assert (answer.status_code, answer.json()["code"]) == (status, code)
        document.refresh_from_db()
        assert (document.version, document.file_id) == (1, None)
        assert not list(media.rglob("*"))

    def test_scan__needs_the_documents_version(self, desk: Device) -> None:
        document = make_document()
        answers = [
            desk.put_file(f"documents/{document.pk}/file", PDF, "application/pdf", if_match=version)
            for version in (None, '"9"')
        ]
        assert [(answer.status_code, answer.json()["code"]) for answer in answers] == [
            (428, "if_match_required"),
            (412, "version_changed"),
        ]

    def test_superseded_document__takes_no_scan_any_more(self, desk: Device) -> None:
        document = make_document()
        Document.objects.update(superseded_at=NOON)
        answer = desk.put_file(f"documents/{document.pk}/file", PDF, "application/pdf", if_match='"1"')
        assert (answer.status_code, answer.json()["code"]) == (409, "action_not_allowed")

    @pytest.mark.parametrize(
        ("role", "original"), [(Role.COMPLIANCE, True), (Role.AUDITOR, True), (Role.DRIVER, False)]
    )
    def test_scan_by_a_phone__its_notes_are_for_those_who_keep_the_record(
        self, desk: Device, role: Role, original: bool
    ) -> None:
        document, content = make_document(), jpeg()
        desk.put_file(f"documents/{document.pk}/file", content, "image/jpeg", if_match='"1"')
        got = acting_as(role, name="Ada Brisk").get(f"documents/{document.pk}/file")
        assert (got.status_code, got.headers["Content-Type"]) == (200, "image/jpeg")
        assert [secret in got.content for secret in (b"Exif", b"a phone", b"second picture")] == [original] * 3
        assert (got.content == content) is original

    def test_drivers__read_a_units_scan(self, desk: Device) -> None:
        document = make_document()
        desk.put_file(f"documents/{document.pk}/file", PDF, "application/pdf", if_match='"1"')
        assert acting_as(make_person("Ada Brisk", Role.DRIVER)).get(f"documents/{document.pk}/file").content == PDF
