"""Fuel that is gone beyond what a cooling unit's hours explain: noted on the unit, and who is notified of it."""

from datetime import datetime

from fleet.enums import NotificationKind, Role
from fleet.models import CoolingForecast, Unit
from fleet.selectors.cooling.forecasts import lost_of_forecast
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients
from fleet.services.records.unit_of_work import UnitOfWork


def tell_of_lost_fuel(row: CoolingForecast, before: datetime | None, work: UnitOfWork) -> None:
    """Notify dispatch and the foremen of the unit's site once of each loss, as its readings are learned from.

    `before` is the end of the loss that was known until now. What old readings show is not told. Nothing says how the
    fuel went: it may have leaked, the gauge may err.
    """
    lost = lost_of_forecast(row)
    if lost is None or not lost.is_recent_at(work.now) or (before is not None and lost.since < before):
        return
    unit = Unit.objects.get(pk=row.unit_id)
    groups = [RecipientGroup(Role.DISPATCH), RecipientGroup(Role.FOREMAN, unit.home_site_id)]
    people = find_recipients(groups, now=work.now)
    work.record(unit.pk, "fuel_lost", subject=None, performed_at=lost.until, body=lost.facts)
    draft = NotificationDraft(
        kind=NotificationKind.FUEL_LOST,
        code="fuel_lost",
        subject=unit.pk,
        people=list({person.pk: None for group in groups for person in people[group]}),
        facts={"unit": str(unit), **lost.facts},
        unit=unit.pk,
        step=lost.since.isoformat(),
        urgent=True,
    )
    create_notifications([draft], now=work.now)
