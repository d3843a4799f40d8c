"""Who is to be told: the people behind a role at a site. Holds nothing of what they are told."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.conf import settings
from django.db.models import Subquery

from common.clock import day_in_zone
from fleet.models import Carrier, Person, PersonRole


@dataclass(frozen=True)
class Audience:
    """Whoever holds `role` at `site` or everywhere; without a site, whoever holds it at all."""

    role: str
    site: UUID | None = None


def people_to_tell(audiences: Iterable[Audience], *, now: datetime) -> dict[Audience, list[Person]]:
    """The people of every audience, by name, in one statement however many audiences there are.

    Where nobody holds the role at the site or everywhere, all who hold it anywhere are told: a hold that nobody
    hears of is worse than one that too many hear of. Roles count by the carrier's day, last day included.
    """
    wanted = list(dict.fromkeys(audiences))
    held = (
        PersonRole.objects.filter(role__in={audience.role for audience in wanted})
        .select_related("person")
        .annotate(zone=Subquery(Carrier.objects.values("time_zone")[:1]))
        .order_by("person__name", "person_id", "pk")
    )
    roles = [role for role in held if _in_force(role, day_in_zone(now, role.zone or settings.TIME_ZONE))]
    return {audience: _chosen(audience, [role for role in roles if role.role == audience.role]) for audience in wanted}


def _in_force(role: PersonRole, day: date) -> bool:
    return role.in_force(day) and role.person.is_active


def _chosen(audience: Audience, roles: list[PersonRole]) -> list[Person]:
    near = [role for role in roles if audience.site is None or role.site_id in {None, audience.site}]
    return list({role.person_id: role.person for role in near or roles}.values())
