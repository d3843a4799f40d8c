"""Which rows of the shop a person may see, and which ones a person may work on. What is left out is not there."""

from datetime import datetime

from django.db.models import Q, QuerySet

from fleet.enums import Role
from fleet.models import Person, PersonRole
from fleet.selectors.carrier.carrier import carriers_day
from workorders.models import LaborEntry, OutsideRepair, RepairOrder, RepairTask

READ_ALL_ORDERS = frozenset({Role.AUDITOR, Role.COMPLIANCE, Role.DISPATCH, Role.DRIVER, Role.TRAINER})
"""Dispatch plans with what is promised, and a driver reads the orders of any unit that may be handed over tonight."""

READ_ALL_LABOR = frozenset({Role.AUDITOR, Role.COMPLIANCE})
"""Whose time ran where is a person's record."""

SHOP = frozenset({Role.MECHANIC, Role.FOREMAN})


def orders_visible_to(person: Person, *, now: datetime) -> QuerySet[RepairOrder]:
    rows = RepairOrder.objects.all()
    return rows if READ_ALL_ORDERS & person.current_roles else rows.filter(_at_sites(person, now, ""))


def orders_in_hands_of(person: Person, *, now: datetime) -> QuerySet[RepairOrder]:
    """The orders of the sites where the person works in the shop."""
    return RepairOrder.objects.filter(_at_sites(person, now, ""))


def tasks_visible_to(person: Person, *, now: datetime) -> QuerySet[RepairTask]:
    rows = RepairTask.objects.all()
    return rows if READ_ALL_ORDERS & person.current_roles else rows.filter(_at_sites(person, now, "order__"))


def tasks_in_hands_of(person: Person, *, now: datetime) -> QuerySet[RepairTask]:
    """The tasks of the sites where the person works in the shop."""
    return RepairTask.objects.filter(_at_sites(person, now, "order__"))


def labor_visible_to(person: Person, *, now: datetime) -> QuerySet[LaborEntry]:
    """The labor of the shop's own sites; all of it for those who audit."""
    rows = LaborEntry.objects.all()
    return rows if READ_ALL_LABOR & person.current_roles else rows.filter(_at_sites(person, now, "task__order__"))


def outside_repairs_visible_to(person: Person, *, now: datetime) -> QuerySet[OutsideRepair]:
    rows = OutsideRepair.objects.all()
    return rows if READ_ALL_ORDERS & person.current_roles else rows.filter(_at_sites(person, now, "order__"))


def _at_sites(person: Person, now: datetime, path: str) -> Q:
    """Orders at the sites of the person's roles in the shop; one without a site is everybody's in every shop."""
    if not SHOP & person.current_roles:
        return Q(pk__in=())
    day = carriers_day(now)
    held = PersonRole.objects.in_force(day).filter(person=person, role__in=SHOP)
    sites = list(held.values_list("site_id", flat=True))
    if None in sites:
        return Q()
    return Q(**{f"{path}site__in": sites}) | Q(**{f"{path}site__isnull": True})
