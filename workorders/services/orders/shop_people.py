"""Who may be put on a task: people of the shop, qualified where a rule asks for it. Writes nothing."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from common.errors import Invalid, NotAllowed
from common.messages import Message
from defects.selectors.catalogue.catalogue import scopes_of
from fleet.enums import Role
from fleet.models import Person, PersonRole
from fleet.selectors.carrier.carrier import carriers_day
from workorders.models import RepairTask
from workorders.rules.tasks import NEEDED, lacking

SHOP_ROLES = (Role.MECHANIC, Role.FOREMAN)


def person_of_shop(key: UUID, *, site: UUID | None, now: datetime, pointer: str) -> Person:
    """A person who is a mechanic or foreman at the site today. Invalid `not_of_the_shop`."""
    return people_of_shop([key], site=site, now=now, pointer=pointer)[0]


def people_of_shop(keys: Collection[UUID], *, site: UUID | None, now: datetime, pointer: str) -> list[Person]:
    """People who are mechanics or foremen at the site today, in the order given. Invalid `not_of_the_shop`.

    At no site in particular, those of every site are meant: such an order is everybody's.
    """
    if not keys:
        return []
    day = carriers_day(now)
    held = PersonRole.objects.in_force(day).filter(role__in=SHOP_ROLES)
    if site is not None:
        held = held.filter(Q(site=None) | Q(site=site))
    found = Person.objects.filter(pk__in=keys, left_on__isnull=True, roles__in=held).distinct().in_bulk()
    if set(keys) - found.keys():
        raise Invalid("not_of_the_shop", pointer=pointer)
    return [found[key] for key in keys]


def refuse_unqualified_choice(person: Person, tasks: Iterable[RepairTask], *, now: datetime, pointer: str) -> None:
    """Refuse a person chosen to lead tasks that a rule wants qualified people for. Invalid `not_qualified`."""
    for lack in _lacks(person, tasks, now):
        raise Invalid(
            "not_qualified",
            pointer=pointer,
            person=person.name,
            task=lack.task.pk,
            scope=lack.task.scope,
            needs=lack.needs,
        )


def refuse_unqualified(person: Person, *tasks: RepairTask, now: datetime) -> None:
    """Refuse a person who may lead none of the tasks that are to be worked on. NotAllowed `not_qualified`."""
    lacks = _lacks(person, tasks, now)
    if lacks and len(lacks) == len(tasks):
        first = lacks[0]
        raise NotAllowed(
            "not_qualified", person=person.name, task=first.task.pk, scope=first.task.scope, needs=first.needs
        )


@dataclass(frozen=True)
class _Lack:
    """A task that a person may not lead, and the qualifications of which one is needed."""

    task: RepairTask
    needs: list[Message]


def _lacks(person: Person, tasks: Iterable[RepairTask], now: datetime) -> list[_Lack]:
    clearance_request = [task for task in tasks if task.scope in NEEDED]
    held = scopes_of(person.pk, carriers_day(now)) if clearance_request else frozenset()
    return [
        _Lack(task, [Message(f"scope_{scope}") for scope in needs])
        for task in clearance_request
        if (needs := lacking(task.scope, held))
    ]
