"""When a notification is sent, and to whom it goes next: quiet hours, mornings, back-off, escalation. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from fleet.enums import NotificationKind, Role

PARK_AFTER = 5
"""A delivery that failed as often as this is parked and shown, and tried only now and then."""

BACK_OFF = (timedelta(minutes=1), timedelta(minutes=5), timedelta(minutes=30), timedelta(hours=2))
"""How long a delivery waits after its first, second, third and fourth failure. Common practice, no source."""

PARKED_AGAIN = timedelta(hours=1)
"""How long a parked delivery waits before it is tried by itself. Common practice, no source."""

PARKED_FOR = timedelta(days=7)
"""What was created longer ago than this is sent only when somebody asks for it."""

NEVER_SNOOZED = frozenset(
    {
        NotificationKind.HOLD_PLACED,
        NotificationKind.ORDER_BY_OFFICER,
        NotificationKind.LOAD_AT_RISK,
        NotificationKind.UNIT_REFUSED,
    }
)
"""Kinds that a person may acknowledge but not put off."""

SNOOZE_AT_MOST = timedelta(days=30)

MOST_DAYS = 60

ESCALATION: Mapping[NotificationKind | str, tuple[Role, ...]] = {
    NotificationKind.HOLD_PLACED: (Role.COMPLIANCE, Role.ADMINISTRATOR),
    NotificationKind.ORDER_BY_OFFICER: (Role.ADMINISTRATOR,),
    NotificationKind.LOAD_AT_RISK: (Role.FOREMAN, Role.COMPLIANCE, Role.ADMINISTRATOR),
    NotificationKind.UNIT_REFUSED: (Role.COMPLIANCE, Role.ADMINISTRATOR),
}
"""The roles that hear of it next when none of those told has acknowledged it, the first that has someone new."""

ESCALATE_AFTER_MIN = 15
"""How long the people told have to answer, where the carrier has not decided otherwise. Our own default, no source."""

DOCUMENT_ESCALATION = (Role.ADMINISTRATOR, Role.FOREMAN)
"""The roles that hear of a late document next, the foreman at the site of its unit."""

DOCUMENT_ESCALATE_AFTER_DAYS = 3
"""How long compliance has to acknowledge a late document, unless the carrier decided otherwise. Our own default."""

ESCALATE_WITHIN = timedelta(days=7)
"""What is older was told long ago: a service that stood still for longer does not wake people over it."""


@dataclass(frozen=True)
class NotificationHours:
    """A site's habits, in its own local time. What is urgent knows no quiet hours.

    From `quiet_from` to `quiet_until` nothing that can wait leaves (the span may cross midnight; equal ends mean
    none); the day's summary is sent from `morning` on.
    """

    morning: time = time(6)
    quiet_from: time = time(20)
    quiet_until: time = time(6)


def hours_from(value: object) -> NotificationHours:
    """The habits that a policy's value states: `morning`, `quiet_from` and `quiet_until`, each optional, as "06:00".

    ValueError or TypeError for anything else in it.
    """
    if not isinstance(value, Mapping):
        raise TypeError("the value must name its hours")
    unknown = sorted(str(name) for name in value if name not in {"morning", "quiet_from", "quiet_until"})
    if unknown:
        raise ValueError(f"unknown: {', '.join(unknown)}")
    return NotificationHours(**{name: _time(given) for name, given in value.items()})


def minutes_from(value: object) -> timedelta:
    """The wait that a policy's value states: whole minutes, at least one. ValueError for anything else."""
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise ValueError(f"no whole number of minutes: {value!r}")
    return timedelta(minutes=value)


def days_from(value: object) -> timedelta:
    """The wait that a policy's value states: whole days, 1 to 60. ValueError for anything else."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_DAYS:
        raise ValueError(f"no whole number of days: {value!r}")
    return timedelta(days=value)


def possible_answers(kind: str, *, urgent: bool, acknowledged: bool) -> list[str]:
    """What the person told may still do with a notification: `acknowledge`, `snooze`, in this order."""
    if acknowledged:
        return []
    return ["acknowledge"] if urgent or kind in NEVER_SNOOZED else ["acknowledge", "snooze"]


def retry_at(attempts: int, now: datetime) -> datetime | None:
    """When to try again after that many attempts have failed; None when it is parked."""
    return None if attempts >= PARK_AFTER else now + BACK_OFF[min(attempts, len(BACK_OFF)) - 1]


def is_quiet(now: datetime, hours: NotificationHours, zone: tzinfo) -> bool:
    """Whether an instant lies in the quiet hours of the zone; their end is no longer quiet."""
    local = now.astimezone(zone).time()
    if hours.quiet_from <= hours.quiet_until:
        return hours.quiet_from <= local < hours.quiet_until
    return local >= hours.quiet_from or local < hours.quiet_until


def after_quiet(instant: datetime, hours: NotificationHours, zone: tzinfo) -> datetime:
    """The instant itself, or the end of the quiet hours that it lies in."""
    if not is_quiet(instant, hours, zone):
        return instant
    local = instant.astimezone(zone)
    day = local.date() if local.time() < hours.quiet_until else local.date() + timedelta(days=1)
    return _at(day, hours.quiet_until, zone).astimezone(instant.tzinfo)


def morning_of(day: date, hours: NotificationHours, zone: tzinfo) -> datetime:
    """The instant at which a day's summary closes: it holds what was created before."""
    return _at(day, hours.morning, zone)


def summary_day(now: datetime, hours: NotificationHours, zone: tzinfo) -> date | None:
    """The local day whose digest may leave now; None before its morning and in quiet hours."""
    today = now.astimezone(zone).date()
    early = now < morning_of(today, hours, zone)
    return None if early or is_quiet(now, hours, zone) else today


def _at(day: date, clock: time, zone: tzinfo) -> datetime:
    return datetime.combine(day, clock, tzinfo=zone).astimezone(UTC)


def _time(given: object) -> time:
    if not isinstance(given, str):
        raise TypeError(f"no time of day: {given!r}")
    return time.fromisoformat(given)
