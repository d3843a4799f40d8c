"""The carrier's habits about notifications, as its policies say, for every site and zone. Rules decide with them."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.conf import settings

from fleet.models import Carrier, Person, Policy
from fleet.rules.notifications.timing import (
    DOCUMENT_ESCALATE_AFTER_DAYS,
    ESCALATE_AFTER_MIN,
    NotificationHours,
    days_from,
    hours_from,
    minutes_from,
)

logger = logging.getLogger(__name__)

HOURS = "notification_hours"
"""Key of the policy, in the form of `timing.hours_from`; `notification_hours:<site code>` is one site's own."""
WAIT = "notification_escalation_min"
"""Key of the policy that says how many minutes the people told have to answer."""

DOCUMENT_WAIT = "notification_document_escalation_days"
"""Key of the policy that says how many days compliance has to acknowledge a late document."""

T = TypeVar("T")


@dataclass(frozen=True)
class Habits:
    """The hours in force everywhere and at single sites (by code), the waits before escalation, the carrier's zone."""

    zone: ZoneInfo
    escalate_after: timedelta = timedelta(minutes=ESCALATE_AFTER_MIN)
    documents_after: timedelta = timedelta(days=DOCUMENT_ESCALATE_AFTER_DAYS)
    everywhere: NotificationHours = field(default_factory=NotificationHours)
    sites: Mapping[str, NotificationHours] = field(default_factory=dict)

    def of(self, person: Person) -> tuple[NotificationHours, ZoneInfo]:
        """The hours and zone of a person: those of the home site, which must have been fetched, else the carrier's."""
        site = person.home_site
        if site is None:
            return self.everywhere, self.zone
        return self.sites.get(site.code, self.everywhere), zone_named(site.time_zone)


def habits_in_force(now: datetime) -> Habits:
    """What the carrier has decided until now, in two statements; defaults where it has not."""
    policies = dict(
        Policy.objects.filter(key__startswith="notification_", valid_from__lte=now)
        .order_by("key", "-valid_from", "pk")
        .distinct("key")
        .values_list("key", "value")
    )
    hours = {
        key: _read(key, policies[key], hours_from, NotificationHours()) for key in policies if key.startswith(HOURS)
    }
    return Habits(
        zone=zone_named(Carrier.objects.values_list("time_zone", flat=True).first() or settings.TIME_ZONE),
        escalate_after=_read(WAIT, policies.get(WAIT, ESCALATE_AFTER_MIN), minutes_from, Habits.escalate_after),
        documents_after=_read(
            DOCUMENT_WAIT, policies.get(DOCUMENT_WAIT, DOCUMENT_ESCALATE_AFTER_DAYS), days_from, Habits.documents_after
        ),
        everywhere=hours.get(HOURS, NotificationHours()),
        sites={key.removeprefix(f"{HOURS}:"): value for key, value in hours.items() if key != HOURS},
    )


def zone_named(name: str) -> ZoneInfo:
    """The zone of that name; one that does not exist is logged and taken for UTC, since a hold must still be told."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        logger.exception("time zone %r does not exist, UTC stands for it", name)
        return ZoneInfo("UTC")


def _read(key: str, value: object, read: Callable[[object], T], usual: T) -> T:
    try:
        return read(value)
    except (TypeError, ValueError):
        logger.exception("policy %s is malformed, the usual stands", key)
        return usual
