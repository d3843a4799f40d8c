"""Noting in the database that it was set back to an earlier moment, so that newer digests are explained."""

from datetime import UTC, date, datetime
from pathlib import Path

from django.db import transaction

from fleet.models import Restore, UnitChain
from fleet.models.records import WHO_LENGTH
from fleet.services.operation.backups.refusal import BackupRefusedError
from fleet.services.records.digests import digest_day, digest_paths, digest_written_at


def refuse_unsaid(by: str) -> None:
    """Refuse a restore of which could not be put on record who does it; to be asked before anything is changed."""
    if not by.strip() or len(by) > WHO_LENGTH:
        raise BackupRefusedError(
            f"who restores must be said, in {WHO_LENGTH} characters at most: --by 'Ola Renn, moved'"
        )


@transaction.atomic
def record_restore(*, as_of: datetime, known_until: date | None, by: str, now: datetime) -> Restore:
    """Note a restore to the state of an instant, with how long each history is now, before anything is written.

    `known_until` is the day of the newest digest that knows no more than that state.
    """
    return Restore.objects.create(
        backed_up_at=as_of.astimezone(UTC),
        restored_at=now,
        restored_by=by,
        known_until=known_until,
        lengths={str(unit): length for unit, length in UnitChain.objects.values_list("unit_id", "sequence")},
    )


def note_recovery(*, as_of: datetime, digests: Path, by: str, now: datetime) -> Restore:
    """Note that PostgreSQL itself was recovered to an instant; BackupRefusedError for one that is not over."""
    refuse_unsaid(by)
    if as_of >= now:
        raise BackupRefusedError(f"{as_of:%Y-%m-%d %H:%M:%S} UTC is not over yet")
    known = [digest_day(path) for path in digest_paths(digests) if digest_written_at(path) <= as_of]
    return record_restore(as_of=as_of, known_until=max(known, default=None), by=by, now=now)
