"""Who answers for documents: whoever holds the compliance role at the subject's home site, or everywhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from fleet.enums import Role
from fleet.models import PersonRole


@dataclass(frozen=True, slots=True)
class Holder:
    """A person who holds the role, at one site or (None) everywhere."""

    id: UUID
    name: str
    site: UUID | None


@dataclass(frozen=True)
class Responsible:
    """Everybody who holds the compliance role on a day.

    As with notifications: where nobody holds it at a site or everywhere, all who hold it anywhere answer for it, and so
    they do for what has no home site, the carrier's own documents among it.
    """

    holders: Sequence[Holder]

    def at(self, site: UUID | None) -> tuple[Holder, ...]:
        """Return who answers for documents at a site, by name, each once."""
        near = [holder for holder in self.holders if site is None or holder.site in {None, site}]
        return tuple({holder.id: holder for holder in near or self.holders}.values())

    def condition(self, person: UUID | None) -> Mapping[str, Any]:
        """Return what the statement compares a subject's home site with to find what `person` answers for."""
        own = [holder.site for holder in self.holders if holder.id == person]
        covered = any(holder.site is None for holder in self.holders)
        return {
            "any_responsible": person is None or None in own,
            "holds_somewhere": bool(own),
            "own_sites": [site for site in own if site is not None],
            "covered_everywhere": covered,
            "covered_sites": [holder.site for holder in self.holders if holder.site is not None],
        }


def responsible_on(day: date) -> Responsible:
    """Return who answers for documents on a day of the carrier, in one statement."""
    held = (
        PersonRole.objects.in_force(day)
        .filter(role=Role.COMPLIANCE, person__left_on__isnull=True)
        .order_by("person__name", "person_id", "pk")
    )
    return Responsible([Holder(*row) for row in held.values_list("person_id", "person__name", "site_id")])
