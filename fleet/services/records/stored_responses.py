"""Where the answers to repeated requests are kept: the store that the API's idempotency asks for."""

from datetime import datetime

from django.db import IntegrityError, OperationalError, transaction
from django.db.models.functions import Now
from psycopg.errors import LockNotAvailable, UniqueViolation

from common.stored_responses import KEPT, RequestKey, StoredResponse
from fleet.models import IdempotencyRecord


class DatabaseStore:
    """Keeps answers as rows, found by person, method, path and key together."""

    def find(self, request_key: RequestKey) -> StoredResponse | None:
        """Return the stored response, None when the first request was never answered."""
        row = IdempotencyRecord.objects.filter(**_named(request_key)).first()
        if row is None or row.status is None:
            return None
        return StoredResponse(row.fingerprint, row.status, row.body, row.headers)

    def claim(self, request_key: RequestKey, fingerprint: str) -> bool:
        """Insert the row in the running transaction; False when a rival's was committed or takes too long."""
        try:
            with transaction.atomic():
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
