"""What goes with a report's days: its own lists and its photos' files. Its row, signature and hashes stay."""

import datetime as dt
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from pytest_django import Settings

from common.errors import NotFound
from defects.api.walkarounds.reports import ReportAnswer
from defects.models import Photo, Report, SentBody
from defects.selectors.records.unit_file.reports import nothing_found
from defects.services.walkarounds.photos import Sent, store_walkaround_photo
from fleet.models import Deletion, FileRemoval, HistoryContent
from fleet.services.documents.files import read_file
from fleet.services.records.purging.files import remove_files
from fleet.services.records.purging.job import purge_records
from tests.factories.defects import PhotoFactory, SentBodyFactory
from tests.integration.defects.walkarounds.test_photos import sent
from tests.support.pictures import jpeg
from tests.support.stored_files import path_of
from tests.support.submissions import answer_to
from tests.support.yard import TAPE, Yard

LISTS = ("checks", "faults", "flags", "looked_at", "left_open")
DAY_AFTER = dt.datetime(2026, 6, 7, 18, tzinfo=dt.UTC)
"""The day after the last one of keeping a report of 6 March 2026."""
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def ahead(yard: Yard, settings: Settings, tmp_path: Path) -> None:
    """Files in a folder of the test's, and a database that does not look at this machine's clock."""
    settings.MEDIA_ROOT = tmp_path / "media"
    with connection.cursor() as cursor:
        cursor.execute("CREATE OR REPLACE FUNCTION refuse_untimely_purge(today date) RETURNS void LANGUAGE sql AS ''")


def walk_with_photo(yard: Yard, photo: Sent, answer: str = "fine") -> tuple[Report, Photo]:
    finding = "damaged" if answer == "defect" else ""
    yard.walk(checks=[answer_to(TAPE, answer, finding=finding, photos=(photo.sha256,))])
    report = Report.objects.filter(unit=yard.trailer).latest("performed_at")
    kept, _ = store_walkaround_photo(
        walkaround_id=report.walkaround_id, sent=photo, actor=yard["iris"], now=yard.later()
    )
    return report, kept


def test_past_its_days__lists_and_files_gone_row_signature_and_hashes_there(yard: Yard) -> None:
    report, photo = walk_with_photo(yard, sent(jpeg()))
    before = Report.objects.filter(pk=report.pk).values().get()

    assert purge_records(now=DAY_AFTER - DAY).records == 0
    purged = purge_records(now=DAY_AFTER)

    after = Report.objects.filter(pk=report.pk).values().get()
    emptied: dict[str, Any] = {name: [] for name in LISTS} | {"checks_schema": 0}
    assert before["checks"] != []
    assert before["left_open"] != []
    assert after == {**before, **emptied}
    deleted = {row.what: row for row in Deletion.objects.filter(record__in=[report.pk, photo.pk])}
    assert deleted["report_checks"].content_hash == report.walkaround.body_hash
    assert deleted["photo"].content_hash == photo.original_id
    assert {(row.retained_until, row.source, row.run) for row in deleted.values()} == {
        (dt.date(2026, 6, 6), "49 CFR 396.11(a)(4)", purged.run)
    }
    assert purged.files == 1
    assert not path_of(photo.original_id).exists()
    assert ReportAnswer.of_report(Report.objects.get(pk=report.pk)).checks_deleted
    assert "purged after their retention" in nothing_found({"checks": [], "checks_schema": after["checks_schema"]})


def test_text_as_sent__stays_as_long_as_a_report_in_it_and_changes_in_nothing_else(yard: Yard) -> None:
    report, _ = walk_with_photo(yard, sent(jpeg()))
    body = SentBodyFactory.create(id=report.walkaround_id, text='{"kind": "moonwalk"}', received_at=yard.now)
    for change in ({"text": ""}, {"text": "other"}, {"received_at": DAY_AFTER}):
        with pytest.raises(DatabaseError), transaction.atomic():
            SentBody.objects.filter(pk=body.pk).update(**change)

    purge_records(now=DAY_AFTER - DAY)
    assert SentBody.objects.get().text == body.text
    purge_records(now=DAY_AFTER)

    assert SentBody.objects.get().text == ""


def test_defect_still_open__its_report_and_photo_stay_whole(yard: Yard) -> None:
    report, photo = walk_with_photo(yard, sent(jpeg()), "defect")

    purge_records(now=DAY_AFTER)

    assert Report.objects.get(pk=report.pk).checks == report.checks != []
    assert path_of(photo.original_id).exists()
    assert not Deletion.objects.filter(record__in=[report.pk, photo.pk]).exists()


def test_same_photo_in_a_younger_report__its_file_stays_until_that_goes_too(yard: Yard) -> None:
    _, photo = walk_with_photo(yard, sent(jpeg()))
    yard.now += 30 * DAY
    walk_with_photo(yard, sent(jpeg()))

    assert purge_records(now=DAY_AFTER).files == 0
    assert Counter(Deletion.objects.values_list("what", flat=True))["photo"] == 1
    assert read_file(photo.original_id) == jpeg()
    assert not FileRemoval.objects.exists()

    assert purge_records(now=DAY_AFTER + 31 * DAY).files == 1
    with pytest.raises(NotFound):
        read_file(photo.original_id)


def test_broken_off_before_the_file_went__taken_by_the_next_job(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    _, photo = walk_with_photo(yard, sent(jpeg()))
    monkeypatch.setattr("fleet.services.records.purging.job.remove_files", lambda **_: 0)
    purge_records(now=DAY_AFTER)
    monkeypatch.undo()
    assert path_of(photo.original_id).exists()

    assert remove_files(now=DAY_AFTER) == 1

    assert not path_of(photo.original_id).exists()
    assert remove_files(now=DAY_AFTER) == 0
    assert set(FileRemoval.objects.values_list("done_at", flat=True)) == {DAY_AFTER}


def test_stored_anew_after_it_was_removed__there_again(yard: Yard) -> None:
    _, photo = walk_with_photo(yard, sent(jpeg()))
    purge_records(now=DAY_AFTER)

    yard.now = DAY_AFTER
    _, again = walk_with_photo(yard, sent(jpeg()))

    assert again.pk != photo.pk
    assert read_file(again.original_id) == jpeg()
    assert remove_files(now=DAY_AFTER) == 0


@pytest.mark.parametrize("recorded", [False, True])
def test_report_changed_by_hand__refused_unless_it_is_its_recorded_deletion(yard: Yard, recorded: bool) -> None:
    report, _ = walk_with_photo(yard, sent(jpeg()))
    if recorded:
        purge_records(now=DAY_AFTER)
    empty = ", ".join([*(f"{name} = '[]'" for name in LISTS), "checks_schema = 0"])
    for change in ("given_unit = 'another'", f"{empty}, given_unit = 'another'", "checks = '[1]'"):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"UPDATE defects_report SET {change} WHERE id = %s", [report.pk])  # noqa: S608 - above
    if not recorded:
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"UPDATE defects_report SET {empty} WHERE id = %s", [report.pk])  # noqa: S608 - above


def test_photo_that_a_certificate_names__kept_a_year(yard: Yard) -> None:
    report, photo = walk_with_photo(yard, sent(jpeg()), "defect")
    defect = report.defects.get()
    PhotoFactory.create(defect=defect, original=photo.original, received_at=yard.now, received_from=yard["iris"])
    yard.certify(defect, "sam", photo=photo.original_id)
    yard.review()

    purge_records(now=DAY_AFTER)

    assert Report.objects.get(pk=report.pk).checks == []
    assert HistoryContent.objects.filter(entry__subject=photo.pk).exists()
    assert path_of(photo.original_id).exists()
