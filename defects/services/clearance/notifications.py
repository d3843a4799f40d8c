"""Who is told of what newly bars an answer: whoever asked, the driver named, and dispatch. Finding it is elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from defects.models import Clearance
from defects.rules.clearance.bars import Row
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.clearance.reason_messages import Reader, reason_words
from fleet.enums import NotificationKind, Role, UnitKind
from fleet.models import Notification, Person
from fleet.selectors.carrier.carrier import EffectivePolicies
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)

AT_ONCE_WITHIN = timedelta(hours=24)
"""A trip that leaves sooner than this, or is under way, cannot wait for the morning's summary. Our own default."""
BARRED = "clearance_barred"
BARRED_FURTHER = "answer_barred_further"
CLEARANCE_CHANGE, BAR = "flip ", "bar "
"""Before the turn's number, or the key of the first bar told, in the name of a telling."""
SHOWN = 3
"""So many reasons stand in the notification; the clearance asked for anew names them all."""


@dataclass(frozen=True)
class NewlyBarred:
    """What newly bars a clearance, under which code it is told, and the name of this telling among its others."""

    clearance: Clearance
    code: str
    step: str
    bars: Sequence[Row]


def notify_of_clearance_changes(
    newly_barred: Sequence[NewlyBarred], *, effective: EffectivePolicies, now: datetime
) -> list[Notification]:
    """Notify whoever asked, the driver and dispatch of each, in their own language; nothing is read for none."""
    if not newly_barred:
        return []
    catalogue, zone = catalogue_in_force(effective.policies), ZoneInfo(effective.zone)
    recipient_group = RecipientGroup(Role.DISPATCH)
    dispatch = find_recipients([recipient_group], now=now)[recipient_group]
    concerned = {item.clearance.pk: _concerned(item.clearance) for item in newly_barred}
    people = Person.objects.in_bulk({key for keys in concerned.values() for key in keys})
    drafts = [
        _draft(item, keys, Reader(catalogue, zone, language), now)
        for item in newly_barred
        for language, keys in by_language([*(people[key] for key in concerned[item.clearance.pk]), *dispatch]).items()
    ]
    return create_notifications(drafts, now=now)


def _concerned(clearance: Clearance) -> list[UUID]:
    return [key for key in (clearance.requested_by_id, clearance.driver_id) if key is not None]


def _draft(item: NewlyBarred, people: list[UUID], reader: Reader, now: datetime) -> NotificationDraft:
    units = sorted(item.clearance.units.all(), key=lambda unit: unit.kind == UnitKind.COOLING_UNIT)
    return NotificationDraft(
        kind=NotificationKind.CLEARANCE_BARRED,
        code=item.code,
        subject=item.clearance.pk,
        people=people,
        facts={
            "units": [str(unit) for unit in units],
            "departs_at": item.clearance.departure,
            "why": " ".join(reason_words(row, reader) for row in item.bars[:SHOWN]),
        },
        unit=units[0].pk,
        step=item.step,
        urgent=item.clearance.departure <= now + AT_ONCE_WITHIN,
    )
