"""Whom papers are told to: compliance, by the home site of whatever a paper belongs to. Holds nothing of the papers."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from fleet.enums import Role
from fleet.models import Site
from fleet.services.notifications.recipients import Audience, people_to_tell

NO_SITE = UUID(int=0)
"""Stands for no home site, so that the database can join on it."""


@dataclass(frozen=True)
class Told:
    """Pairs of a site (or `NO_SITE`) and a person to tell of what belongs there, as two columns of equal length."""

    sites: list[UUID]
    people: list[UUID]


def compliance_by_site(*, now: datetime) -> Told:
    """Whoever holds compliance at each site or everywhere, else anybody who holds it at all; in two statements."""
    sites = [None, *Site.objects.order_by("pk").values_list("pk", flat=True)]
    people = people_to_tell([Audience(Role.COMPLIANCE, site) for site in sites], now=now)
    pairs = [(site, person.pk) for site in sites for person in people[Audience(Role.COMPLIANCE, site)]]
    return Told([site or NO_SITE for site, _ in pairs], [person for _, person in pairs])
