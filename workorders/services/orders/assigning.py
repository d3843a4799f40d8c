"""Saying who does the work: a whole order, or one task with its lead and helpers. Only people who may."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from common.errors import Invalid
from fleet.models import Person, Site
from workorders.enums import ACTIVE_TASK_STATES
from workorders.models import RepairOrder, RepairTask
from workorders.services.orders.order_work import OrderWork, lock_order, lock_task
from workorders.services.orders.shop_people import people_of_shop, person_of_shop, refuse_unqualified_choice
from workorders.transitions import ORDER_TABLE, TASK_TABLE


def assign_order(
    *, order: UUID, version: int | None, assigned_to: UUID | None, site: Site | None, actor: Person, now: datetime
) -> RepairOrder:
    """Give an order, and every task of it that nobody leads, to a person; with a site, the order moves there.

    The person must be of the shop that it is at then: others could not even see it. Invalid `not_of_the_shop`,
    `not_qualified` (facts `task`, `scope`, `needs`): such a task is given to somebody qualified first. Errors of the
    table and of versions as everywhere.
    """
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "assign", {"assigned_to": assigned_to})
        where = work.order.site_id if site is None else site.pk
        lead = person_of_shop(_named(assigned_to), site=where, now=now, pointer="/assigned_to")
        unled = [task for task in work.tasks if task.state in ACTIVE_TASK_STATES and task.lead_id is None]
        refuse_unqualified_choice(lead, unled, now=now, pointer="/assigned_to")
        for task in unled:
            _lead(work, task, lead)
        work.order.assigned_to = lead
        if site is not None:
            work.order.site = site
        work.note(
            "repair_order_assigned",
            work.order,
            state=work.order.state,
            assigned_to=lead.pk,
            name=lead.name,
            site=None if site is None else site.code,
        )
        work.save(work.order, "state", "assigned_to", "site")
        return work.order


def assign_task(
    *, task: UUID, version: int | None, lead: UUID | None, helpers: Sequence[UUID], actor: Person, now: datetime
) -> RepairTask:
    """Give one task to a lead, with helpers who work under that person; an open order becomes the lead's.

    The lead must be qualified where a rule asks for it, a helper need not be: that is how an apprentice works on
    brakes. Invalid `not_of_the_shop`, `not_qualified`, `helper_is_lead`.
    """
    with lock_task(task, version=version, actor=actor, now=now) as (work, row):
        work.move(TASK_TABLE, row, "assign", {"lead": lead})
        person = person_of_shop(_named(lead), site=work.order.site_id, now=now, pointer="/lead")
        refuse_unqualified_choice(person, [row], now=now, pointer="/lead")
        under = people_of_shop(helpers, site=work.order.site_id, now=now, pointer="/helpers")
        if person in under:
            raise Invalid("helper_is_lead", pointer="/helpers")
        _lead(work, row, person)
        row.helpers.set(under)
        if work.order.state == ORDER_TABLE.initial:
            work.move(ORDER_TABLE, work.order, "assign", {"assigned_to": person})
            work.order.assigned_to = person
        work.note(
            "repair_task_assigned", row, lead=person.pk, name=person.name, helpers=[helper.name for helper in under]
        )
        work.save(work.order, "state", "assigned_to")
        return row


def _lead(work: OrderWork, task: RepairTask, lead: Person) -> None:
    task.lead = lead
    work.save(task, "lead")


def _named(person: UUID | None) -> UUID:
    """The table has seen to it that somebody is named."""
    if person is None:
        raise TypeError("nobody is named")
    return person
