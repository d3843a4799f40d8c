"""Rows for tests about notices and history: people with roles, sites, units, drafts. Plain and valid by default."""

import datetime as dt
from itertools import count
from typing import Any
from uuid import UUID

from django.db import transaction

from common.ids import uuid7
from fleet.enums import NoticeKind, Role, UnitKind
from fleet.models import Carrier, Notice, OnCallTurn, Person, PersonRole, Site, Unit, UnitChain, WebhookEndpoint
from fleet.rules.records.chain import GENESIS
from fleet.services.notifications.create import NoticeDraft, owe_notices

NOON = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
"""Friday 6 March 2026, 12:00 in Chicago, two days before the clocks change."""

_numbers = count(1)


def make_carrier(time_zone: str = "America/Chicago") -> Carrier:
    return Carrier.objects.create(name="Ninefold Larder Lines", usdot_number="0000000", time_zone=time_zone)


def make_site(name: str = "North Yard", time_zone: str = "America/Chicago") -> Site:
    return Site.objects.create(code=f"{name.split(maxsplit=1)[0]}-{next(_numbers)}", name=name, time_zone=time_zone)


def make_person(name: str = "Hob Anselm", *, roles: tuple[Role, ...] = (), **fields: Any) -> Person:
    email = fields.pop("email", f"{name.split(maxsplit=1)[0].lower()}@carrier.invalid")
    person = Person.objects.create(name=name, email=email, **fields)
    for role in roles:
        give_role(person, role)
    return person


def give_role(
    person: Person,
    role: Role,
    site: Site | None = None,
    *,
    starts_on: dt.date = dt.date(2026, 1, 1),
    ends_on: dt.date | None = None,
) -> PersonRole:
    return PersonRole.objects.create(person=person, role=role, site=site, starts_on=starts_on, ends_on=ends_on)


def make_webhook(person: Person, url: str = "https://hooks.carrier.invalid/in") -> WebhookEndpoint:
    return WebhookEndpoint.objects.create(
        person=person, url=url, secret="whsec_" + "A" * 43 + "=", recorded_at=NOON, recorded_by=person
    )


def put_on_call(
    person: Person,
    role: Role,
    site: Site | None = None,
    *,
    starts_at: dt.datetime = NOON - dt.timedelta(hours=6),
    ends_at: dt.datetime = NOON + dt.timedelta(hours=6),
    withdrawn_at: dt.datetime | None = None,
) -> OnCallTurn:
    return OnCallTurn.objects.create(
        person=person,
        role=role,
        site=site,
        starts_at=starts_at,
        ends_at=ends_at,
        recorded_at=starts_at,
        recorded_by=person,
        withdrawn_at=withdrawn_at,
    )


def make_unit(number: str = "LR-46", *, kind: UnitKind = UnitKind.TRAILER, home_site: Site | None = None) -> Unit:
    unit = Unit.objects.create(kind=kind, number=number, home_site=home_site, recorded_at=NOON)
    UnitChain.objects.create(unit=unit, head=GENESIS)
    return unit


HOLD_FACTS: dict[str, object] = {
    "unit": "LR-46",
    "hold": 12,
    "what": "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in",
    "reported_by": "Iris Quade",
    "at": NOON,
}


def hold_draft(*people: Person, subject: UUID | None = None, unit: Unit | None = None, **facts: object) -> NoticeDraft:
    return NoticeDraft(
        kind=NoticeKind.HOLD_PLACED,
        code="hold_placed",
        subject=subject or uuid7(),
        people=[person.pk for person in people],
        facts=HOLD_FACTS | facts,
        unit=unit.pk if unit else None,
        urgent=True,
    )


def waiting_draft(*people: Person, subject: UUID | None = None, step: str = "") -> NoticeDraft:
    """Something that can wait for the digest."""
    return NoticeDraft(
        kind=NoticeKind.PROMISE_MOVED,
        code="hold_placed",
        subject=subject or uuid7(),
        people=[person.pk for person in people],
        facts=HOLD_FACTS,
        step=step,
    )


def owe(*drafts: NoticeDraft, now: dt.datetime = NOON) -> list[Notice]:
    """Owe in a transaction of its own, for tests that commit."""
    with transaction.atomic():
        return owe_notices(drafts, now=now)
