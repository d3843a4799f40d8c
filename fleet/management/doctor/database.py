"""The database: whether it answers, its version, its migrations, and three clocks that should agree."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db import DatabaseError, InterfaceError, connection
from django.db.migrations.recorder import MigrationRecorder

from fleet.management.doctor.diagnosis import Diagnosis, first_line
from fleet.models import HistoryEntry
from fleet.selectors.operation import migrations
from fleet.services.operation.backups.database import is_half_restored

OLDEST_VERSION = 150_000
"""As README promises."""
CLOCKS_APART = timedelta(seconds=5)
"""More than two hosts that ask a time server differ by, and less than a limit in minutes. Our own figure."""
PREPARE = "let the owner's role run `python -m config.prepare` (compose: `docker-compose up migrate`)"


def examine_reach() -> Iterator[Diagnosis]:
    """Tell whether the database answers at all; everything else about it needs that."""
    try:
        connection.ensure_connection()
    except (DatabaseError, InterfaceError) as why:
        settings = connection.settings_dict
        where = f"{settings['HOST'] or 'this host'}:{settings['PORT'] or 5432}"
        yield Diagnosis(
            f"the database {settings['NAME']} at {where} does not let {settings['USER']} in: {first_line(why)}",
            "start PostgreSQL, or mend DATABASE_URL, then ask again: what follows needs the database",
        )


def examine_version() -> Iterator[Diagnosis]:
    """Tell of a server older than the oldest that the suite runs on."""
    version = connection.cursor().connection.info.server_version
    if version < OLDEST_VERSION:
        yield Diagnosis(
            f"PostgreSQL {version // 10_000} is not supported",
            "move to PostgreSQL 15 or newer: see Moving to another host",
        )


def examine_restore() -> Iterator[Diagnosis]:
    """Tell of a restore that was interrupted, whose checks nobody has seen."""
    if is_half_restored():
        yield Diagnosis(
            "a restore into this database was interrupted and is not on record",
            "stop web, worker and beat, drop the database and restore anew: see Restore",
        )


def examine_migrations() -> Iterator[Diagnosis]:
    """Tell which migrations are outstanding, and which the database has that this release does not know."""
    applied = set(MigrationRecorder(connection).applied_migrations())
    ours = {app for app, _ in migrations.own()}
    outstanding = sorted(f"{app}.{name}" for app, name in migrations.own() - applied)
    unknown = sorted(f"{app}.{name}" for app, name in applied - migrations.known() if app in ours)
    if outstanding:
        yield Diagnosis(f"the database lacks {len(outstanding)} migrations, the first {outstanding[0]}", PREPARE)
    if unknown:
        yield Diagnosis(
            f"the database has {unknown[-1]}, which this release does not know: a newer release was here",
            "run the newer release again, or see Going back",
        )


def examine_clocks(now: datetime) -> Iterator[Diagnosis]:
    """Tell when this host, the database and the last written history disagree about the time."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT clock_timestamp()")
        (there,) = cursor.fetchone()
    if abs(there - now) > CLOCKS_APART:
        yield Diagnosis(
            f"the database's clock says {there:%Y-%m-%d %H:%M:%S} UTC where this host's says {now:%Y-%m-%d %H:%M:%S}",
            "let both hosts ask a time server (chrony or systemd-timesyncd)",
        )
    # Keys grow with time, so the last written entry is the last key.
    last = HistoryEntry.objects.order_by("-pk").values_list("recorded_at", flat=True).first()
    if last is not None and last > now + CLOCKS_APART:
        yield Diagnosis(
            f"the last written history is of {last:%Y-%m-%d %H:%M:%S} UTC, which is still to come",
            "this host's clock is slow or once ran ahead: set it right before anybody writes more",
        )
