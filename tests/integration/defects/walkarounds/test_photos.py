"""Photos: named by the signed checks, kept as sent, served without their notes, in the history of the unit."""

import datetime as dt
from pathlib import Path

import pytest
from pytest_django import Settings

from common.canonical import sha256_hex
from common.errors import DomainError, Invalid, NotFound, TooLarge, TooOften
from common.ids import uuid7
from defects.models import Defect, Photo, Report
from defects.selectors.defects.defects import defect_page
from defects.selectors.walkarounds.photos import photo_file
from defects.services.walkarounds import photos
from defects.services.walkarounds.photos import Sent, store_defect_photo, store_walkaround_photo
from fleet.models import StoredFile
from fleet.services.documents.files import read_file, shown_to
from tests.factories.fleet import FileRemovalFactory, history_of
from tests.support.pictures import jpeg
from tests.support.refusals import refused
from tests.support.stored_files import path_of
from tests.support.submissions import answer_to, fault_told
from tests.support.yard import TAPE, Yard


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: Settings) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def sent(content: bytes, declared: str = "image/jpeg", sha256: str = "") -> Sent:
    return Sent(content, sha256 or sha256_hex(content), declared)


def walk_with(yard: Yard, *named: str) -> Report:
    """A report whose checks, correction and free-text fault name these photos."""
    check = answer_to(TAPE, "defect", finding="damaged", photos=named[:1], corrected_photo="".join(named[1:2]))
    fault = fault_told("knocks", photos=tuple(named[2:]))
    yard.walk(checks=[check], faults=[fault])
    return Report.objects.latest("performed_at")


def keep(yard: Yard, report: Report, photo: Sent, by: str = "iris") -> tuple[Photo, bool]:
    return store_walkaround_photo(walkaround_id=report.walkaround_id, sent=photo, actor=yard[by], now=yard.later())


@pytest.mark.parametrize("position", [0, 1, 2])
def test_named_in_check_correction_or_fault__kept_as_sent(yard: Yard, position: int) -> None:
    photo = sent(jpeg())
    named = ["e" * 64, "f" * 64, "d" * 64]
    named[position] = photo.sha256
    report = walk_with(yard, *named)

    kept, new = keep(yard, report, photo)

    assert (new, kept.original_id, kept.received_from) == (True, photo.sha256, yard["iris"])
    assert (read_file(kept.original_id), kept.is_picture) == (photo.content, True)
    assert history_of(yard.trailer)[-1] == "photo_received"


def test_sent_again__nothing_new(yard: Yard) -> None:
    photo = sent(jpeg())
    report = walk_with(yard, photo.sha256)
    first, _ = keep(yard, report, photo)
    kinds = history_of(yard.trailer)
    assert keep(yard, report, photo) == (first, False)
    assert (Photo.objects.count(), history_of(yard.trailer)) == (1, kinds)


def test_lost_from_the_store_and_sent_again__is_there_again(yard: Yard) -> None:
    photo = sent(jpeg())
    report = walk_with(yard, photo.sha256)
    kept, _ = keep(yard, report, photo)
    path_of(kept.original_id).unlink()
    with pytest.raises(NotFound, match="file_missing"):
        read_file(kept.original_id)
    assert keep(yard, report, photo) == (kept, False)
    assert read_file(kept.original_id) == photo.content


def test_deleted_after_its_days_and_sent_again__stays_deleted(yard: Yard) -> None:
    photo = sent(jpeg())
    report = walk_with(yard, photo.sha256)
    kept, _ = keep(yard, report, photo)
    FileRemovalFactory.create(file=kept.original, requested_at=yard.later(), done_at=yard.later())
    path_of(kept.original_id).unlink()
    keep(yard, report, photo)
    assert not path_of(kept.original_id).exists()


@pytest.mark.parametrize(
    ("content", "declared", "error", "code"),
    [
        (b"", "image/jpeg", Invalid, "file_empty"),
        (b"GIF89a not taken here", "image/gif", Invalid, "file_type_refused"),
        (b"%PDF-1.7 neither", "application/pdf", Invalid, "file_type_refused"),
        (jpeg(), "image/png", Invalid, "file_mislabelled"),
        (b"\xff\xd8\xff" + bytes(15 * 1024 * 1024), "image/jpeg", TooLarge, "file_too_large"),
    ],
)
def test_file_that_is_no_photo__refused_and_nothing_kept(
    yard: Yard, content: bytes, declared: str, error: type[DomainError], code: str
) -> None:
    photo = sent(content, declared)
    report = walk_with(yard, photo.sha256)
    kinds = history_of(yard.trailer)
    with pytest.raises(error) as caught:
        keep(yard, report, photo)
    assert caught.value.code == code
    assert (Photo.objects.count(), history_of(yard.trailer)) == (0, kinds)


def test_one_byte_changed_on_the_way__refused(yard: Yard) -> None:
    content = jpeg()
    report = walk_with(yard, sha256_hex(content))
    tampered = content[:-3] + bytes([content[-3] ^ 1]) + content[-2:]
    with refused(Invalid, "file_hash_differs"):
        keep(yard, report, sent(tampered, sha256=sha256_hex(content)))
    assert not StoredFile.objects.exists()
    assert not path_of(sha256_hex(content)).exists()


def test_hash_that_no_signed_check_names__refused(yard: Yard) -> None:
    report = walk_with(yard, "e" * 64)
    with refused(Invalid, "photo_not_named"):
        keep(yard, report, sent(jpeg()))


def test_walkaround_of_another_person_or_unknown__not_found(yard: Yard) -> None:
    photo = sent(jpeg())
    report = walk_with(yard, photo.sha256)
    with pytest.raises(NotFound):
        keep(yard, report, photo, "sol")
    with pytest.raises(NotFound):
        store_walkaround_photo(walkaround_id=uuid7(), sent=photo, actor=yard["iris"], now=yard.now)


@pytest.mark.parametrize(
    ("by", "original"), [("iris", False), ("hob", False), ("greta", False), ("cal", False), ("vera", True)]
)
def test_shown__without_its_notes_but_to_those_who_keep_the_record(yard: Yard, by: str, original: bool) -> None:
    photo = sent(jpeg())
    report = walk_with(yard, photo.sha256)
    keep(yard, report, photo)

    shown = shown_to(yard[by], photo_file(photo.sha256, walkaround=report.walkaround_id))

    assert (shown.content == photo.content, b"a phone" in shown.content) == (original, original)
    assert (shown.name == photo.sha256) is original


def test_file_listed_by_a_report_that_is_no_picture__is_kept_and_marked(yard: Yard) -> None:
    photo = sent(jpeg()[:200])
    report = walk_with(yard, photo.sha256)

    kept, new = keep(yard, report, photo)

    assert (new, kept.is_picture) == (True, False)
    assert shown_to(yard["vera"], kept.original).content == photo.content
    with refused(NotFound, "file_not_shown"):
        shown_to(yard["hob"], kept.original)


def test_repair_shown_by_no_picture__refused_and_nothing_kept(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    with refused(Invalid, "photo_unreadable"):
        store_defect_photo(defect_id=defect.pk, sent=sent(jpeg()[:200]), actor=yard["sam"], now=yard.later())
    assert not Photo.objects.exists()
    assert not StoredFile.objects.exists()


@pytest.mark.parametrize(("limit", "most"), [("MOST_PHOTOS", 2), ("MOST_BYTES", len(jpeg()) + 1)])
def test_many_at_once__the_next_waits_and_is_then_taken(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, limit: str, most: int
) -> None:
    monkeypatch.setattr(photos, limit, most)
    red, blue, gray = (sent(jpeg(color)) for color in ("red", "blue", "gray"))
    report = walk_with(yard, red.sha256, blue.sha256, gray.sha256)
    first, _ = keep(yard, report, red)
    keep(yard, report, blue)

    def again(now: dt.datetime) -> bool:
        return store_walkaround_photo(walkaround_id=report.walkaround_id, sent=gray, actor=yard["iris"], now=now)[1]

    free = first.received_at + photos.WITHIN
    with pytest.raises(TooOften, match="photos_too_fast") as slowed:
        again(free - dt.timedelta(seconds=90))
    assert slowed.value.facts == {"retry_after": 90}
    assert keep(yard, report, red) == (first, False)
    assert again(free)


def test_proof_of_a_repair__kept_on_the_defect_and_named_by_the_certificate(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    photo = sent(jpeg("blue"))
    with pytest.raises(Invalid):
        yard.certify(defect, "sam", photo=photo.sha256)

    store_defect_photo(defect_id=defect.pk, sent=photo, actor=yard["sam"], now=yard.later())

    assert yard.certify(defect, "sam", photo=photo.sha256).photo_sha256 == photo.sha256
    assert photo_file(photo.sha256, defect=defect.pk).pk == photo.sha256
    with pytest.raises(NotFound):
        photo_file(photo.sha256, walkaround=uuid7())


def test_photo_of_an_unknown_defect__not_found(yard: Yard) -> None:
    with pytest.raises(NotFound):
        store_defect_photo(defect_id=uuid7(), sent=sent(jpeg()), actor=yard["sam"], now=yard.now)


def test_photos_of_a_defect__are_those_that_reports_name_and_those_stored_on_it(yard: Yard) -> None:
    named, proof = sent(jpeg()), sent(jpeg("blue"))
    report = walk_with(yard, named.sha256)
    defect = Defect.objects.get(point=TAPE)
    store_defect_photo(defect_id=defect.pk, sent=proof, actor=yard["sam"], now=yard.later())

    page = defect_page(defect)

    assert list(page.photos_of_reports) == [(report.walkaround_id, named.sha256)]
    assert list(page.photos) == [proof.sha256]
