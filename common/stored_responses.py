"""What is kept of an answered POST so that it can be given again, and who keeps it. Knows no HTTP framework."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

STORED_FOR = timedelta(days=90)
"""How long an answer is kept; whoever owns the store deletes older ones."""

RETRY_AFTER_S = 1
"""When to send again what is still being answered."""


@dataclass(frozen=True)
class RequestKey:
    """What one stored response is found by; never by the bare key, which another person may use too."""

    person_id: object
    method: str
    path: str
    key: str


@dataclass(frozen=True)
class StoredResponse:
    """A finished answer: hash of the request, HTTP status, body as text, the headers worth repeating."""

    fingerprint: str
    status: int
    body: str
    headers: Mapping[str, str]


class AnswerStore(Protocol):
    """Where answers are kept; `settings.IDEMPOTENCY_STORE` names the object."""

    def find(self, request_key: RequestKey) -> StoredResponse | None:
        """Return the stored response, None when the first request was never answered."""

    def claim(self, request_key: RequestKey, fingerprint: str) -> bool:
        """Insert the row in the running transaction, waiting for a rival's; False when one was committed.

        Conflict `idempotency_key_in_use` with `retry_after` when the rival's takes too long.
        """

    def finish(self, request_key: RequestKey, answer: StoredResponse) -> None:
        """Write the answer into the claimed row, in the same transaction."""
