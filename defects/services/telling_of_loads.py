"""Who is told that a load is at risk, at once: dispatch and the foremen of the trailer's site."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.measures import number
from common.messages import Message
from defects.models import Defect, Load, LoadAtRisk
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.loads import is_cold
from defects.selectors.words import what_of_defect
from fleet.enums import NoticeKind, Role
from fleet.models import Notice, Person
from fleet.services.notifications.create import NoticeDraft, owe_notices
from fleet.services.notifications.recipients import Audience, by_language, people_to_tell

DISPATCH = Audience(Role.DISPATCH, on_call=True)


@dataclass(frozen=True)
class RiskTold:
    """One fault under one load, with the name of whoever reported it."""

    risk: LoadAtRisk
    load: Load
    defect: Defect
    reported_by: str


def tell_of_loads_at_risk(
    told: Sequence[RiskTold], *, catalogue: Catalogue, now: datetime, caused_by: UUID | None = None
) -> list[Notice]:
    """Owe dispatch and the foremen word of every fault, each in their own language; nothing is read for none."""
    if not told:
        return []
    sites = {None if item.load.trailer is None else item.load.trailer.home_site_id for item in told}
    people = people_to_tell([DISPATCH, *(_foremen(site) for site in sites)], now=now)
    drafts = [
        _draft(item, keys, catalogue, language)
        for item in told
        for language, keys in by_language(_audience(item, people)).items()
    ]
    return owe_notices(drafts, now=now, caused_by=caused_by)


def tell_of_seal(load: Load, *, now: datetime) -> list[Notice]:
    """Owe dispatch word of a seal that is not the one on the papers; the foremen too, for food and for the cold."""
    if load.trailer is None or load.seal_read_by is None or load.seal_read_at is None:
        raise TypeError("a seal was read by somebody on a load in a trailer")
    guarded = is_cold(load) or load.food
    audiences = [DISPATCH, *([_foremen(load.trailer.home_site_id)] if guarded else [])]
    people = people_to_tell(audiences, now=now)
    told = {person.pk: person for audience in audiences for person in people[audience]}
    draft = NoticeDraft(
        kind=NoticeKind.SEAL_DIFFERS,
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
    return owe_notices([draft], now=now)


def _audience(item: RiskTold, people: dict[Audience, list[Person]]) -> Iterable[Person]:
    site = None if item.load.trailer is None else item.load.trailer.home_site_id
    return [*people[DISPATCH], *people[_foremen(site)]]


def _foremen(site: UUID | None) -> Audience:
    return Audience(Role.FOREMAN, site, on_call=True)


def _draft(item: RiskTold, people: list[UUID], catalogue: Catalogue, language: str) -> NoticeDraft:
    load = item.load
    return NoticeDraft(
        kind=NoticeKind.LOAD_AT_RISK,
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
