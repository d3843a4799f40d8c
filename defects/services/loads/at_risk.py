"""Loads put at risk by faults that bar such freight: the records opened or joined, and who is notified of them.

By a temperature is `outside_range`; writing up and ending one is `loads_at_risk`.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Subquery

from common.errors import Unavailable
from common.measures import number
from common.messages import Message
from defects.enums import FREIGHT, RiskState
from defects.models import Defect, Load, LoadAtRisk
from defects.selectors.defects.naming import language_of, names_of_defect
from defects.selectors.loads.loads import KEPT_FROM_FAULTS, ON_BOARD, bars_of, is_cold
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person
from fleet.selectors.units.combinations import combination_of
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)
from fleet.services.records.unit_of_work import UnitOfWork


@dataclass
class Opened:
    """The records that faults opened, and the notifications created of them and of those they joined."""

    risks: list[LoadAtRisk] = field(default_factory=list)
    notifications: list[Notification] = field(default_factory=list)


def open_loads_at_risk(
    defects: Iterable[Defect],
    *,
    fresh: Collection[UUID],
    mounted: Collection[tuple[UUID, UUID]],
    work: UnitOfWork,
    caused_by: UUID | None = None,
) -> Opened:
    """Open a load at risk for every load under a fault that bars such freight, and tell dispatch and foremen.

    `mounted` are (trailer, cooling unit) pairs; the trailers are locked by `work`. `fresh` are the keys of
    defects that were not known before: such a fault under a load that is at risk already joins its record, is
    told of again, and no decision from before it counts for it. Costs no statement where no defect bars freight,
    else one when no load is concerned. The caller ends the unit of work.
    """
    barring = [defect for defect in defects if defect.bars in FREIGHT]
    trailers = {trailer for defect in barring for trailer in _trailers_of(defect, mounted)}
    if not trailers:
        return Opened()
    newly_at_risk, risks = [], []
    for trailer, load, known in _loads_in(trailers):
        faults = [
            defect
            for defect in barring
            if defect.bars in bars_of(load)
            and trailer in _trailers_of(defect, mounted)
            and (known is None or defect.pk in fresh)
        ]
        if not faults:
            continue
        risk = known or _opened(trailer, load, faults[0], work.actor)
        if known is None:
            risks.append(risk)
        for defect in faults:
            names = names_of_defect(defect)
            new = NewlyAtRisk(
                risk, load, what=names, reported_by=work.actor.name, at=defect.found_at, step=str(defect.pk)
            )
            newly_at_risk.append(new)
            work.record(
                trailer,
                "load_at_risk_opened" if known is None and defect is faults[0] else "load_at_risk_joined",
                subject=risk.pk,
                performed_at=defect.found_at,
                body={"load": load.number, "defect": defect.number, "fault": names},
            )
    LoadAtRisk.objects.bulk_create(risks)
    return Opened(risks, notify_of_loads_at_risk(newly_at_risk, now=work.now, caused_by=caused_by))


def open_for_fresh_faults(defects: Iterable[Defect], *, work: UnitOfWork) -> Opened:
    """Open a load at risk for faults that came to bar freight otherwise than by a walk-around.

    `work` has the locks of their units and of the trailers these are mounted on (`trailers_beside`). Costs no
    statement where no defect bars freight. Unavailable `busy` when a cooling unit was put on another trailer
    while the locks were waited for.
    """
    barring = [defect for defect in defects if defect.bars in FREIGHT]
    if not barring:
        return Opened()
    mounted = combination_of({defect.unit_id for defect in barring}, work.now).mounted
    if any(trailer not in work.units for defect in barring for trailer in _trailers_of(defect, mounted)):
        raise Unavailable("busy", retry_after=1)
    return open_loads_at_risk(barring, fresh={defect.pk for defect in barring}, mounted=mounted, work=work)


def _trailers_of(defect: Defect, mounted: Collection[tuple[UUID, UUID]]) -> set[UUID]:
    """The unit itself, which may be a trailer, and the trailer it is mounted on."""
    return {defect.unit_id, *(trailer for trailer, cooling_unit in mounted if cooling_unit == defect.unit_id)}


def _loads_in(trailers: Collection[UUID]) -> list[tuple[UUID, Load, LoadAtRisk | None]]:
    """The trailers with a load that faults keep out, that load, and its open record if it has one, in one statement."""
    active = LoadAtRisk.objects.filter(load_id=OuterRef("pk"), state=RiskState.OPEN)
    loads = Load.objects.filter(ON_BOARD, KEPT_FROM_FAULTS, trailer_id__in=trailers).select_related("trailer")
    rows = loads.annotate(risk=Subquery(active.values("pk")[:1])).order_by("pk")
    return [
        (load.trailer_id, load, None if load.risk is None else LoadAtRisk(pk=load.risk, load=load))
        for load in rows
        if load.trailer_id is not None
    ]


def _opened(trailer: UUID, load: Load, defect: Defect, actor: Person) -> LoadAtRisk:
    since = defect.found_at if load.loaded_at is None else max(defect.found_at, load.loaded_at)
    return new_record(load, trailer, since=since, by=actor, defect=defect)


def new_record(load: Load, trailer: UUID, *, since: datetime, by: Person, **why: Any) -> LoadAtRisk:
    """The unsaved record of a load that is newly at risk: `why` are its defect, or its cause with facts and instant."""
    return LoadAtRisk(trailer_id=trailer, load=load, opened_at=since, opened_by=by, **why)


DISPATCH = RecipientGroup(Role.DISPATCH, on_call=True)


@dataclass(frozen=True)
class NewlyAtRisk:
    """One cause over one load: what it is in every language, who reported it, when it was so; `step` tells it apart."""

    risk: LoadAtRisk
    load: Load
    what: Mapping[str, str]
    reported_by: str
    at: datetime
    step: str


def notify_of_loads_at_risk(
    newly_at_risk: Sequence[NewlyAtRisk], *, now: datetime, caused_by: UUID | None = None
) -> list[Notification]:
    """Notify dispatch and the foremen of every cause, each in their own language; nothing is read for none."""
    if not newly_at_risk:
        return []
    sites = {None if item.load.trailer is None else item.load.trailer.home_site_id for item in newly_at_risk}
    people = find_recipients([DISPATCH, *(_foremen(site) for site in sites)], now=now)
    drafts = [
        _draft(item, keys, language)
        for item in newly_at_risk
        for language, keys in by_language(_recipient_group(item, people)).items()
    ]
    return create_notifications(drafts, now=now, caused_by=caused_by)


def notify_of_seal(load: Load, *, now: datetime) -> list[Notification]:
    """Notify dispatch of a seal that is not the one on the papers; the foremen too, for food and for the cold."""
    if load.trailer is None or load.seal_read_by is None or load.seal_read_at is None:
        raise TypeError("a seal was read by somebody on a load in a trailer")
    guarded = is_cold(load) or load.food
    recipient_groups = [DISPATCH, *([_foremen(load.trailer.home_site_id)] if guarded else [])]
    people = find_recipients(recipient_groups, now=now)
    recipients = {person.pk: person for recipient_group in recipient_groups for person in people[recipient_group]}
    draft = NotificationDraft(
        kind=NotificationKind.SEAL_DIFFERS,
        code="seal_reads_otherwise",
        subject=load.pk,
        people=list(recipients),
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


def _recipient_group(item: NewlyAtRisk, people: dict[RecipientGroup, list[Person]]) -> Iterable[Person]:
    site = None if item.load.trailer is None else item.load.trailer.home_site_id
    return [*people[DISPATCH], *people[_foremen(site)]]


def _foremen(site: UUID | None) -> RecipientGroup:
    return RecipientGroup(Role.FOREMAN, site, on_call=True)


def _draft(item: NewlyAtRisk, people: list[UUID], language: str) -> NotificationDraft:
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
            "what": item.what[language_of(language)],
            "reported_by": item.reported_by,
            "at": item.at,
        },
        unit=load.trailer_id,
        step=item.step,
        urgent=True,
    )
