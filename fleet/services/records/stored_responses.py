"""Where the answers to repeated requests are kept: the store that the API's idempotency asks for."""

import json
from datetime import datetime
from functools import cache
from typing import Any

from django.db import OperationalError, connection
from django.db.models import TextField, UUIDField
from psycopg.errors import LockNotAvailable

from common.compiled import CompiledObjects, Parameter
from common.errors import Conflict
from common.ids import uuid7
from common.stored_responses import RETRY_AFTER_S, STORED_FOR, RequestKey, StoredResponse
from fleet.models import IdempotencyRecord

CLAIM = """
INSERT INTO fleet_idempotencyrecord (id, person_id, method, path, key, fingerprint, body, headers, created_at)
VALUES (%(id)s, %(person_id)s, %(method)s, %(path)s, %(key)s, %(fingerprint)s, '', '{}', statement_timestamp())
    ON CONFLICT DO NOTHING
"""
FINISH = """
UPDATE fleet_idempotencyrecord SET status = %(status)s, body = %(body)s, headers = %(headers)s
 WHERE person_id = %(person_id)s AND method = %(method)s AND path = %(path)s AND key = %(key)s
"""
"""Every POST sends both; the ORM would compile them each time."""


class DatabaseStore:
    """Keeps answers as rows, found by person, method, path and key together."""

    def find(self, request_key: RequestKey) -> StoredResponse | None:
        """Return the stored response, None when the first request was never answered."""
        for row in _by_name().fetch(**_named(request_key)):
            if row.status is not None:
                return StoredResponse(row.fingerprint, row.status, row.body, row.headers)
        return None

    def claim(self, request_key: RequestKey, fingerprint: str) -> bool:
        """Insert the row in the running transaction; False when it is there. Conflict while a rival takes too long."""
        try:
            with connection.cursor() as cursor:
                cursor.execute(CLAIM, {**_named(request_key), "id": uuid7(), "fingerprint": fingerprint})
                return bool(cursor.rowcount)
        except OperationalError as error:
            if isinstance(error.__cause__, LockNotAvailable):
                raise Conflict("idempotency_key_in_use", retry_after=RETRY_AFTER_S) from error
            raise

    def finish(self, request_key: RequestKey, answer: StoredResponse) -> None:
        """Write the answer into the claimed row, in the same transaction."""
        said: dict[str, Any] = {
            "status": answer.status,
            "body": answer.body,
            "headers": json.dumps(dict(answer.headers)),
        }
        with connection.cursor() as cursor:
            cursor.execute(FINISH, {**_named(request_key), **said})


@cache
def _by_name() -> CompiledObjects[IdempotencyRecord]:
    """The statement that every POST begins with."""
    texts = {name: Parameter(name, TextField()) for name in ("method", "path", "key")}
    return CompiledObjects(IdempotencyRecord.objects.filter(person_id=Parameter("person_id", UUIDField()), **texts))


def delete_old_responses(*, now: datetime) -> int:
    """Remove the answers that have been kept long enough; how many there were."""
    removed, _ = IdempotencyRecord.objects.filter(created_at__lt=now - STORED_FOR).delete()
    return removed


def _named(request_key: RequestKey) -> dict[str, Any]:
    return {
        "person_id": request_key.person_id,
        "method": request_key.method,
        "path": request_key.path,
        "key": request_key.key,
    }


STORE = DatabaseStore()
