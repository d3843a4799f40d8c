"""What nobody needs any more and no rule asks to keep: old answers, old counts of attempts, files without a row."""

from dataclasses import dataclass
from datetime import datetime

from fleet.services.documents.files import delete_orphans
from fleet.services.people.sign_in_attempts import delete_old_attempts
from fleet.services.records.stored_responses import delete_old_responses


@dataclass(frozen=True)
class DeletedLeftovers:
    """How many of each were removed."""

    answers: int
    attempts: int
    files: int


def delete_leftovers(*, now: datetime) -> DeletedLeftovers:
    """Remove them; safe to run twice at once and again."""
    return DeletedLeftovers(
        answers=delete_old_responses(now=now), attempts=delete_old_attempts(now=now), files=delete_orphans(now=now)
    )
