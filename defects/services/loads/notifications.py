"""Who is told that a load is at risk, at once: dispatch and the foremen of the trailer's site."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.measures import number
from common.messages import Message
from defects.models import Defect, Load, LoadAtRisk
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.loads.loads import is_cold
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person
from fleet.services.notifications.create import NotificationDraft, create_notifications
from fleet.services.notifications.recipients import RecipientGroup, by_language, find_recipients

DISPATCH = RecipientGroup(Role.DISPATCH, on_call=True)


@dataclass(frozen=True)
class RiskTold:
    """One fault under one load, with the name of whoever reported it."""

    risk: LoadAtRisk
    load: Load
    defect: Defect
    reported_by: str


def notify_of_loads_at_risk(
    told: Sequence[RiskTold], *, catalogue: Catalogue, now: datetime, caused_by: UUID | None = None
) -> list[Notification]:
    """Owe dispatch and the foremen word of every fault, each in their own language; nothing is read for none."""
    if not told:
        return []
    sites = {None if item.load.trailer is None else item.load.trailer.home_site_id for item in told}
    people = find_recipients([DISPATCH, *(_foremen(site) for site in sites)], now=now)
    drafts = [
        _draft(item, keys, catalogue, language)
        for item in told
        for language, keys in by_language(_recipient_group(item, people)).items()
    ]
    return create_notifications(drafts, now=now, caused_by=caused_by)


def notify_of_seal(load: Load, *, now: datetime) -> list[Notification]:
    """Owe dispatch word of a seal that is not the one on the papers; the foremen too, for food and for the cold."""
    if load.trailer is None or load.seal_read_by is None or load.seal_read_at is None:
        raise TypeError("a seal was read by somebody on a load in a trailer")
    guarded = is_cold(load) or load.food
    recipient_groups = [DISPATCH, *([_foremen(load.trailer.home_site_id)] if guarded else [])]
    people = find_recipients(recipient_groups, now=now)
    told = {person.pk: person for recipient_group in recipient_groups for person in people[recipient_group]}
    draft = NotificationDraft(
        kind=NotificationKind.SEAL_DIFFERS,
        code="seal_reads_otherwise",
        subject=load.pk,
        people=list(told),
        facts={
            "unit": str(load.trailer),
            "load": load.number,
            "read": load.seal_read,
            "seal": load.seal,
            "reported_by": load.seal_read_by.name,
            "at": load.seal_read_at,
        },
        unit=load.trailer_id,
        step=load.seal_read_at.isoformat(),
        urgent=True,
    )
    return create_notifications([draft], now=now)


def _recipient_group(item: RiskTold, people: dict[RecipientGroup, list[Person]]) -> Iterable[Person]:
    site = None if item.load.trailer is None else item.load.trailer.home_site_id
    return [*people[DISPATCH], *people[_foremen(site)]]


def _foremen(site: UUID | None) -> RecipientGroup:
    return RecipientGroup(Role.FOREMAN, site, on_call=True)


def _draft(item: RiskTold, people: list[UUID], catalogue: Catalogue, language: str) -> NotificationDraft:
    load = item.load
    return NotificationDraft(
        kind=NotificationKind.LOAD_AT_RISK,
        code="load_at_risk" if is_cold(load) else "dry_load_at_risk",
        subject=item.risk.pk,
        people=people,
        facts={
            "unit": str(load.trailer),
            "load": load.number,
            "class": Message(f"class_{load.temperature_class}"),
            "ordered_f": "" if load.setpoint_f is None else number(load.setpoint_f),
            "what": what_of_defect(item.defect, catalogue, language),
            "reported_by": item.reported_by,
            "at": item.defect.found_at,
        },
        unit=load.trailer_id,
        step=str(item.defect.pk),
        urgent=True,
    )
