"""Files in a bucket of an S3-compatible store. A request that is answered is durable; half a file is never kept."""

from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from http import HTTPStatus
from typing import Any

import boto3
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError

from fleet.services.operation.file_stores.folder import unavailable

PREFIX = "files/"
CONNECT_S, READ_S = 2, 5
"""Together under the time that a transaction may stand idle: the file is put before its row commits."""


@dataclass(frozen=True)
class BucketAccess:
    """Which bucket, at which address (empty: the region's own), with which keys."""

    name: str
    endpoint: str
    region: str
    access_key: str
    secret_key: str


@dataclass(frozen=True)
class Bucket:
    """A store of files in one bucket, named below `files/`."""

    access: BucketAccess

    def put(self, sha256: str, content: bytes) -> None:
        """Keep a file; the store itself compares the content with its hash before it answers."""
        client, place = _client(self.access), self._place(sha256)
        with _reached():
            if not self._is_there(client, place):
                checksum = b64encode(bytes.fromhex(sha256)).decode()
                client.put_object(**place, Body=content, ChecksumSHA256=checksum)

    def has(self, sha256: str) -> bool:
        with _reached():
            return self._is_there(_client(self.access), self._place(sha256))

    def get(self, sha256: str) -> bytes | None:
        with _reached():
            try:
                answer = _client(self.access).get_object(**self._place(sha256))
                content: bytes = answer["Body"].read()
            except ClientError as error:
                if _status(error) == HTTPStatus.NOT_FOUND:
                    return None
                raise
            return content

    def place_of(self, sha256: str) -> str:
        """Return where a file lies below `files/`."""
        return sha256

    def older_than(self, instant: datetime) -> Iterator[list[str]]:
        """Give the names of older files, a page of the store's listing at a time."""
        pages = _client(self.access).get_paginator("list_objects_v2").paginate(Bucket=self.access.name, Prefix=PREFIX)
        with _reached():
            for page in pages:
                old = [row["Key"] for row in page.get("Contents", ()) if row["LastModified"] < instant]
                yield [key.removeprefix(PREFIX) for key in old]

    def remove(self, place: str) -> None:
        with _reached():
            _client(self.access).delete_object(**self._place(place))

    def _place(self, name: str) -> dict[str, str]:
        return {"Bucket": self.access.name, "Key": PREFIX + name}

    def _is_there(self, client: Any, place: dict[str, str]) -> bool:
        try:
            client.head_object(**place)
        except ClientError as error:
            if _status(error) == HTTPStatus.NOT_FOUND:
                return False
            raise
        return True


def open_bucket(**access: str) -> Bucket:
    """Return the store that the settings describe, field by field of `BucketAccess`; nothing is asked of it yet."""
    return Bucket(BucketAccess(**access))


@contextmanager
def _reached() -> Iterator[None]:
    """Unavailable `file_store_unavailable` for whatever the store could not do."""
    try:
        yield
    except (BotoCoreError, ClientError) as error:
        raise unavailable() from error


def _status(error: ClientError) -> int:
    return int(error.response["ResponseMetadata"]["HTTPStatusCode"])


@lru_cache(maxsize=4)
def _client(access: BucketAccess) -> Any:
    """The client of a store; made once, since that takes longer than a request. Clients serve several threads."""
    return boto3.client(
        "s3",
        endpoint_url=access.endpoint or None,
        region_name=access.region,
        aws_access_key_id=access.access_key,
        aws_secret_access_key=access.secret_key,
        config=Config(
            signature_version="s3v4",
            s3={"addressing_style": "path"},
            connect_timeout=CONNECT_S,
            read_timeout=READ_S,
            retries={"total_max_attempts": 1},
            request_checksum_calculation="when_required",
        ),
    )
