"""What the check writes: run by the production environment itself, so it may import what production has and no more."""

import sys
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import django

from config.env import choose_settings

choose_settings("config.settings.base")
django.setup()

from common import clock  # noqa: E402 - models must not be imported before Django is set up
from common.clock import day_in_zone  # noqa: E402
from fleet.enums import Role  # noqa: E402
from fleet.models import Document, Person, PersonRole, Policy  # noqa: E402

ZONE = "America/Chicago"


def put_document_on_record(address: str) -> None:
    """A compliance manager with an address, and an insurance whose last day is today; nothing else is missing."""
    now = clock.now()
    administrator = Person.objects.get()
    person = Person.objects.create(name="Vera Holt", username="vera", email=address)
    PersonRole.objects.create(person=person, role=Role.COMPLIANCE, starts_on=date(2000, 1, 1))
    recorded = {"recorded_at": now, "recorded_by": administrator}
    for kind in ("unified_registration_fee", "biennial_update"):
        Document.objects.create(kind=kind, ends_on=date(2099, 12, 31), **recorded)
    Document.objects.create(kind="insurance", ends_on=day_in_zone(now, ZONE), **recorded)


def let_morning_come() -> None:
    """Have the day's digest close in a second, and no quiet hours."""
    now = clock.now()
    morning = (now + timedelta(seconds=1)).astimezone(ZoneInfo(ZONE)).time()
    hours = {"morning": morning.isoformat(), "quiet_from": "00:00", "quiet_until": "00:00"}
    Policy.objects.create(
        key="notification_hours",
        value=hours,
        valid_from=now,
        set_by=Person.objects.get(username="vera"),
        recorded_at=now,
    )


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["paper", to]:
            put_document_on_record(to)
        case ["morning"]:
            let_morning_come()
        case other:
            raise SystemExit(f"paper ADDRESS or morning, not {other}")
