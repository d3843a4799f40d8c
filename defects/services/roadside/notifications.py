"""Who is told of an officer's inspection: of an order at once, of an answer owed the person who answers."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from defects.enums import HoldKind
from defects.models import Hold, RoadsideInspection
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person, Unit
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients


def notify_of_inspection(
    inspection: RoadsideInspection, holds: Iterable[Hold], *, units: Sequence[Unit], now: datetime
) -> list[Notification]:
    """Owe dispatch, foremen and compliance word of each order, and compliance of the answer; nothing of a clean one."""
    if inspection.is_clean:
        return []
    orders = [hold for hold in holds if hold.kind == HoldKind.OFFICER]
    sites = {unit.pk: unit.home_site_id for unit in units}
    office, dispatch = RecipientGroup(Role.COMPLIANCE), RecipientGroup(Role.DISPATCH, on_call=True)
    shops = {site: RecipientGroup(Role.FOREMAN, site, on_call=True) for site in sites.values()}
    people = find_recipients([office, dispatch, *shops.values()], now=now)
    numbers = {unit.pk: str(unit) for unit in units}
    told = [
        _order(
            hold,
            numbers[hold.unit_id],
            inspection,
            [*people[dispatch], *people[shops[sites[hold.unit_id]]], *people[office]],
        )
        for hold in orders
    ]
    return create_notifications([*told, _answer(inspection, people, office)], now=now)


def _order(hold: Hold, unit: str, inspection: RoadsideInspection, people: Sequence[Person]) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.ORDER_BY_OFFICER,
        code="order_by_officer",
        subject=hold.pk,
        people=_keys(people),
        facts={
            "unit": unit,
            "hold": hold.number,
            "report_number": inspection.report_number,
            "officer": inspection.officer,
            "state": inspection.state,
            "what": hold.reason,
            "at": inspection.inspected_at,
        },
        unit=hold.unit_id,
        urgent=True,
    )


def _answer(
    inspection: RoadsideInspection, people: Mapping[RecipientGroup, Sequence[Person]], office: RecipientGroup
) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.ROADSIDE_ANSWER_DUE,
        code="roadside_answer_due",
        subject=inspection.pk,
        people=_keys(people[office]),
        facts={"report_number": inspection.report_number, "due_on": inspection.answer_due_on},
        step="recorded",
    )


def _keys(people: Iterable[Person]) -> list[UUID]:
    return list(dict.fromkeys(person.pk for person in people))
