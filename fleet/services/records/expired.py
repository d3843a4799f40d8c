"""What nobody needs any more and no rule asks to keep: old answers, old counts of attempts, files without a row."""

from dataclasses import dataclass
from datetime import datetime

from fleet.services.documents.files import job_orphans
from fleet.services.people.sign_in_attempts import forget_old_attempts
from fleet.services.records.stored_responses import forget_old_answers


@dataclass(frozen=True)
class Forgotten:
    """How many of each were removed."""

    answers: int
    attempts: int
    files: int


def forget_leftovers(*, now: datetime) -> Forgotten:
    """Remove them; safe to run twice at once and again."""
    return Forgotten(
        answers=forget_old_answers(now=now),
        attempts=forget_old_attempts(now=now),
        files=job_orphans(now=now),
    )
