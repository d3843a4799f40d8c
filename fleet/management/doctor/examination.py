"""The whole examination, one group after another; what needs the database waits until that answers."""

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime

from django.conf import settings
from django.db import DatabaseError, InterfaceError

from fleet.management.doctor.broker import examine_broker
from fleet.management.doctor.certificate import examine_certificate
from fleet.management.doctor.database import (
    examine_clocks,
    examine_migrations,
    examine_reach,
    examine_restore,
    examine_version,
)
from fleet.management.doctor.deployment import examine_mail, examine_settings
from fleet.management.doctor.diagnosis import Diagnosis, first_line
from fleet.management.doctor.files import examine_digests, examine_folders
from fleet.management.doctor.histories import examine_last_day
from fleet.management.doctor.jobs import examine_jobs, examine_messages
from fleet.management.doctor.rights import examine_purge_role, examine_web_role

Group = tuple[str, list[Diagnosis] | None]
"""The name of what was looked at, and what is wrong with it; None where it could not be looked at."""


def examine(*, certificate_of: str | None, now: datetime) -> Iterator[Group]:
    """Look at everything; `certificate_of` is the host whose certificate is looked at."""
    yield "settings", list(examine_settings())
    yield "mail", list(examine_mail())
    yield "folders", list(examine_folders())
    yield "broker", None if settings.LOCAL_DEMO else list(examine_broker())
    yield "certificate", None if certificate_of is None else list(examine_certificate(certificate_of, now))
    reach = list(examine_reach())
    yield "database", reach or [*examine_version(), *examine_restore()]
    behind = None if reach else list(examine_migrations())
    yield "migrations", behind
    able = behind == []
    rest: tuple[tuple[str, Callable[[], Iterable[Diagnosis]]], ...] = (
        ("web role", examine_web_role),
        ("purge role", examine_purge_role),
        ("clocks", lambda: examine_clocks(now)),
        ("jobs", lambda: examine_jobs(now)),
        ("messages", lambda: examine_messages(now)),
        ("digests", lambda: examine_digests(now)),
        ("last day's histories", lambda: examine_last_day(now)),
    )
    for name, look in rest:
        yield name, _found(look) if able else None


def _found(look: Callable[[], Iterable[Diagnosis]]) -> list[Diagnosis]:
    """What one group finds; the database may refuse or leave in the middle of it."""
    try:
        return list(look())
    except (DatabaseError, InterfaceError) as why:
        asked = f"the database refused to be asked: {first_line(why)}"
        return [Diagnosis(asked, "see what else is wrong first, then ask again")]
