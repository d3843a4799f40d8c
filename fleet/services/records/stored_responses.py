"""Where the answers to repeated requests are kept: the store that the API's idempotency asks for."""

from datetime import datetime
from functools import cache

from django.db import IntegrityError, OperationalError
from django.db.models import TextField, UUIDField
from django.db.models.functions import Now
from psycopg.errors import LockNotAvailable, UniqueViolation

from common.compiled import CompiledObjects, Given
from common.stored_responses import KEPT, RequestKey, StoredResponse
from fleet.models import IdempotencyRecord


class DatabaseStore:
    """Keeps answers as rows, found by person, method, path and key together."""

    def find(self, request_key: RequestKey) -> StoredResponse | None:
        """Return the stored response, None when the first request was never answered."""
        for row in _by_name().fetch(**_named(request_key)):
            if row.status is not None:
                return StoredResponse(row.fingerprint, row.status, row.body, row.headers)
        return None

    def claim(self, request_key: RequestKey, fingerprint: str) -> bool:
        """Insert the row in the running transaction; False, and no more can be done in it, when a rival's is there."""
        try:
            IdempotencyRecord.objects.create(**_named(request_key), fingerprint=fingerprint, created_at=Now())
        except (IntegrityError, OperationalError) as error:
            if isinstance(error.__cause__, UniqueViolation | LockNotAvailable):
                return False
            raise
        return True

    def finish(self, request_key: RequestKey, answer: StoredResponse) -> None:
        """Write the answer into the claimed row, in the same transaction."""
        IdempotencyRecord.objects.filter(**_named(request_key)).update(
            status=answer.status, body=answer.body, headers=dict(answer.headers)
        )


@cache
def _by_name() -> CompiledObjects[IdempotencyRecord]:
    """The statement that every POST begins with."""
    texts = {name: Given(name, TextField()) for name in ("method", "path", "key")}
    return CompiledObjects(IdempotencyRecord.objects.filter(person_id=Given("person_id", UUIDField()), **texts))


def forget_old_answers(*, now: datetime) -> int:
    """Remove the answers that have been kept long enough; how many there were."""
    removed, _ = IdempotencyRecord.objects.filter(created_at__lt=now - KEPT).delete()
    return removed


def _named(request_key: RequestKey) -> dict[str, object]:
    return {
        "person_id": request_key.person_id,
        "method": request_key.method,
        "path": request_key.path,
        "key": request_key.key,
    }


STORE = DatabaseStore()
