"""Who is to be told: the people behind a role at a site. Holds nothing of what they are told."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, QuerySet, Subquery

from common.clock import day_in_zone
from fleet.models import Carrier, OnCallShift, Person, PersonRole


@dataclass(frozen=True)
class RecipientGroup:
    """Whoever holds `role` at `site` or everywhere; without a site, whoever holds it at all.

    `on_call` for what goes at once: whoever of them is on call for the site, where anybody is.
    """

    role: str
    site: UUID | None = None
    on_call: bool = False


def find_recipients(recipient_groups: Iterable[RecipientGroup], *, now: datetime) -> dict[RecipientGroup, list[Person]]:
    """The people of every recipients, by name, in one statement however many groups of recipients there are.

    Where nobody holds the role at the site or everywhere, all who hold it anywhere are told: a hold that nobody
    hears of is worse than one that too many hear of. A gap in the roster likewise brings it to all of them. Roles
    count by the carrier's day, last day included; a turn counts only while its person holds the role.
    """
    wanted = list(dict.fromkeys(recipient_groups))
    held: QuerySet[Any, Any] = (
        PersonRole.objects.filter(role__in={recipient_group.role for recipient_group in wanted})
        .select_related("person")
        .annotate(zone=Subquery(Carrier.objects.values("time_zone")[:1]), turns=ArraySubquery(_turns(now)))
        .order_by("person__name", "person_id", "pk")
    )
    roles = [role for role in held if _in_force(role, day_in_zone(now, role.zone or settings.TIME_ZONE))]
    return {
        recipient_group: _chosen(recipient_group, [role for role in roles if role.role == recipient_group.role])
        for recipient_group in wanted
    }


def _in_force(role: PersonRole, day: date) -> bool:
    return role.in_force(day) and role.person.is_active


def _turns(now: datetime) -> QuerySet[OnCallShift, Any]:
    """The sites that a role's holder is on call for now; None among them stands for all."""
    return OnCallShift.objects.filter(
        person_id=OuterRef("person_id"),
        role=OuterRef("role"),
        starts_at__lte=now,
        ends_at__gt=now,
        withdrawn_at__isnull=True,
    ).values("site_id")


def _chosen(recipient_group: RecipientGroup, roles: list[Any]) -> list[Person]:
    if recipient_group.on_call:
        on_call = [role for role in roles if _on_call_for(recipient_group.site, role.turns)]
        if on_call:
            return list({role.person_id: role.person for role in on_call}.values())
    near = [role for role in roles if recipient_group.site is None or role.site_id in {None, recipient_group.site}]
    return list({role.person_id: role.person for role in near or roles}.values())


def _on_call_for(site: UUID | None, turns: Iterable[UUID | None]) -> bool:
    return any(site is None or turn is None or turn == site for turn in turns)


def by_language(people: Iterable[Person]) -> dict[str, list[UUID]]:
    """The keys of people by the language they read, each once, for facts that are worded before they are owed."""
    groups: dict[str, dict[UUID, None]] = defaultdict(dict)
    for person in people:
        groups[person.language][person.pk] = None
    return {language: list(keys) for language, keys in groups.items()}


def first_with_somebody_new(
    recipient_groups: Iterable[RecipientGroup], people: Mapping[RecipientGroup, list[Person]], told: Collection[UUID]
) -> list[UUID]:
    """Whom the first of these groups of recipients has that was not told; nobody where all were."""
    for recipient_group in recipient_groups:
        new = [person.pk for person in people[recipient_group] if person.pk not in told]
        if new:
            return new
    return []
