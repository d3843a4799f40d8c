"""Refusals for reading: who may see which, and whether a second person has looked."""

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from defects.enums import RefusalState
from defects.models import Refusal
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person

SEE_ALL = frozenset({Role.FOREMAN, Role.MECHANIC, Role.COMPLIANCE, Role.AUDITOR})
"""Whoever looks at the unit or keeps the record. Dispatch learns from the clearance that a unit waits, not of whom."""

SEE_COPY = frozenset({Role.COMPLIANCE, Role.AUDITOR})


def refusals_visible_to(person: Person) -> QuerySet[Refusal]:
    """All refusals, or one's own."""
    rows = Refusal.objects.select_related("unit", "person", "second_look", "second_look__person").prefetch_related(
        "defects"
    )
    return rows if not SEE_ALL.isdisjoint(person.current_roles) else rows.filter(person=person)


def may_see_copy(refusal: Refusal, person: Person) -> bool:
    """Whether the driver's own copy is shown: to the driver, and to those who keep the record."""
    return refusal.person_id == person.pk or not SEE_COPY.isdisjoint(person.current_roles)


def recipients_of(refusals: Iterable[Refusal]) -> dict[UUID, list[str]]:
    """By refusal, the names of those who were told of it, in one statement however many there are."""
    recipients: dict[UUID, set[str]] = defaultdict(set)
    subjects = [refusal.pk for refusal in refusals]
    notifications = Notification.objects.filter(kind=NotificationKind.UNIT_REFUSED, subject_id__in=subjects)
    for subject, name in notifications.order_by("pk").values_list("subject_id", "person__name"):
        if subject is not None:
            recipients[subject].add(name)
    return {subject: sorted(names) for subject, names in recipients.items()}


def refusal_state(refusal: Refusal) -> str:
    """Waiting for a second look, or looked at."""
    return RefusalState.LOOKED_AT if hasattr(refusal, "second_look") else RefusalState.WAITING


def refusal_waits(unit: UUID) -> bool:
    """Whether a driver refused the unit and nobody has looked since."""
    return Refusal.objects.filter(unit=unit, second_look__isnull=True).exists()
