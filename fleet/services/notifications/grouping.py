"""In which order and under which headings a message tells its notifications. Holds no words."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from django.db.models import Case, IntegerField, QuerySet, Value, When
from django.db.models.fields.json import KT

from fleet.models import Notification
from fleet.rules.documents.reminders import ENDING, IN_GRACE, MISSING, OVERDUE

HAPPENED = "letter_group_happened"

GROUPS = (
    (HAPPENED, ()),
    ("letter_group_unanswered", ("unanswered_days",)),
    ("letter_group_overdue", (OVERDUE,)),
    ("letter_group_missing", (MISSING,)),
    ("letter_group_in_grace", (IN_GRACE,)),
    ("letter_group_ending", (ENDING,)),
)
"""Headings with the codes under them, in order; the first takes every code that no other names."""

_PLACE = {code: place for place, (_, codes) in enumerate(GROUPS) for code in codes}


def as_told(notifications: QuerySet[Notification]) -> QuerySet[Notification]:
    """The notifications by group, documents by their last day, the rest as they came."""
    place = Case(
        *(When(code__in=codes, then=Value(place)) for place, (_, codes) in enumerate(GROUPS) if codes),
        default=Value(0),
        output_field=IntegerField(),
    )
    return notifications.order_by(place, KT("facts__ends_on").asc(nulls_first=True), "owed_at", "pk")


def in_order(notifications: Iterable[Notification]) -> list[Notification]:
    """The same order, of notifications whose codes and days are no longer those that are stored."""

    def place(notification: Notification) -> tuple[object, ...]:
        return (
            _PLACE.get(notification.code, 0),
            str(notification.facts.get("ends_on", "")),
            notification.owed_at,
            notification.pk,
        )

    return sorted(notifications, key=place)


def in_groups(notifications: Iterable[Notification]) -> Iterator[tuple[str, list[Notification]]]:
    """Notifications in that order, by the code of their heading."""
    for place, group in groupby(notifications, key=lambda notification: _PLACE.get(notification.code, 0)):
        yield GROUPS[place][0], list(group)
