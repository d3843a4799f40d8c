"""Files in an S3-compatible store, against a server that checks signatures and hashes."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import time_machine
from pytest_django import Settings

from common.canonical import sha256_hex
from common.errors import NotFound, Unavailable
from fleet.enums import Role
from fleet.models import StoredFile
from fleet.rules.documents.file_types import DOCUMENTS
from fleet.services.documents.files import delete_orphans, read_file, remove_file, store_file
from fleet.services.operation.file_stores import bucket
from tests.factories.fleet import HOUR, NOON, make_carrier, make_document
from tests.support.acting import acting_as
from tests.support.bucket_server import BucketServer, bucket_server
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7 a scan"
KEY = f"files/{sha256_hex(PDF)}"


@pytest.fixture
def server(settings: Settings, tmp_path: Path) -> Iterator[BucketServer]:
    with bucket_server() as made:
        settings.FILE_BUCKET = made.settings()
        settings.MEDIA_ROOT = tmp_path / "media"
        yield made
    bucket._client.cache_clear()


def store(**changes: Any) -> StoredFile:
    given = {"declared": None, "allowed": DOCUMENTS, "expected_sha256": None, "now": NOON, **changes}
    return store_file(content=PDF, **given)


def test_file__is_kept_under_its_hash_once_and_read_back(server: BucketServer, tmp_path: Path) -> None:
    row = store()
    assert {key: content for key, (content, _) in server.objects.items()} == {KEY: PDF}
    assert read_file(row.pk) == PDF
    assert store().pk == row.pk
    assert [call for call in server.calls if call[0] == "PUT"] == [("PUT", 200)]
    assert not (tmp_path / "media").exists()


def test_file__is_in_the_store_before_its_row(server: BucketServer, monkeypatch: pytest.MonkeyPatch) -> None:
    rows_then: list[int] = []
    put = bucket.Bucket.put

    def noting(self: bucket.Bucket, sha256: str, content: bytes) -> None:
        put(self, sha256, content)
        rows_then.append(StoredFile.objects.count())
        assert KEY in server.objects

    monkeypatch.setattr(bucket.Bucket, "put", noting)
    store()
    assert (rows_then, StoredFile.objects.count()) == ([0], 1)


@pytest.mark.parametrize("change", [{"secret_key": "another"}, {"access_key": "another"}, {"name": "elsewhere"}])
def test_wrong_key_or_bucket__keeps_no_file_and_no_row(
    server: BucketServer, settings: Settings, change: dict[str, str]
) -> None:
    settings.FILE_BUCKET = server.settings(**change)
    with refused(Unavailable, "file_store_unavailable"):
        store()
    assert (server.objects, StoredFile.objects.count()) == ({}, 0)


def test_content_that_is_not_what_its_hash_says__is_refused_by_the_store(server: BucketServer) -> None:
    access = bucket.BucketAccess(**server.settings())
    with pytest.raises(Unavailable):
        bucket.Bucket(access).put(sha256_hex(b"something else"), PDF)
    assert server.objects == {}
    assert server.calls[-1] == ("PUT", 400)


def test_store_that_fails_or_is_gone__is_told_as_not_available(server: BucketServer, settings: Settings) -> None:
    row = store()
    server.broken = True
    with pytest.raises(Unavailable):
        read_file(row.pk)
    settings.FILE_BUCKET = server.settings(endpoint="http://127.0.0.1:9")
    with pytest.raises(Unavailable):
        read_file(row.pk)


def test_lost_file__is_missing(server: BucketServer) -> None:
    row = store()
    server.objects.clear()
    with refused(NotFound, "file_missing"):
        read_file(row.pk)


def test_removed_file__is_gone_and_removing_it_again_does_no_harm(server: BucketServer) -> None:
    row = store()
    remove_file(row.pk)
    assert server.objects == {}
    remove_file(row.pk)
    assert store().pk == row.pk
    assert read_file(row.pk) == PDF


def test_job__removes_old_files_without_a_row_alone_over_all_pages(server: BucketServer) -> None:
    store()
    for number in range(5):
        server.objects[f"files/{number}{'a' * 63}"] = (b"x", NOON - 25 * HOUR)
    server.objects[KEY] = (PDF, NOON - 25 * HOUR)
    server.objects[f"files/{'b' * 64}"] = (b"x", NOON - 23 * HOUR)
    server.objects["other/thing"] = (b"x", NOON - 99 * HOUR)
    assert delete_orphans(now=NOON) == 5
    assert sorted(server.objects) == sorted([KEY, f"files/{'b' * 64}", "other/thing"])


def test_scan_over_http__goes_to_the_bucket_and_comes_back(server: BucketServer) -> None:
    make_carrier()
    desk, path = acting_as(Role.COMPLIANCE), f"documents/{make_document().pk}/file"
    with time_machine.travel(NOON, tick=False):
        assert desk.put_file(path, PDF, "application/pdf", if_match='"1"').status_code == 204
        assert desk.get(path).content == PDF
        server.broken = True
        answer = desk.get(path)
    assert (answer.status_code, answer.json()["code"]) == (503, "file_store_unavailable")
    assert answer.headers["Retry-After"] == "60"
