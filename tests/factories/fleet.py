"""What the carrier owns. Rows by factories, valid and plain by default; what has a history, by the services."""

import datetime as dt
import secrets
from collections.abc import Callable, Iterable
from decimal import Decimal
from itertools import count
from typing import Any
from uuid import UUID

import factory
from django.db import transaction

from common.ids import uuid7
from fleet import models
from fleet.enums import (
    AxleRole,
    Deleted,
    HoldCause,
    Location,
    MeterKind,
    NotificationKind,
    Role,
    Scope,
    SignatureMethod,
    UnitKind,
)
from fleet.models import (
    Carrier,
    Coupling,
    Deletion,
    DeviceToken,
    Document,
    FeedToken,
    LegalHold,
    MeterReading,
    Mounting,
    Notification,
    OnCallShift,
    Person,
    PersonRole,
    Qualification,
    Site,
    Unit,
    WebhookEndpoint,
    Whereabouts,
)
from fleet.rules.people.tokens import PREFIX, lifetime, token_hash
from fleet.rules.records.chain import GENESIS
from fleet.services.documents.documents import record_document
from fleet.services.documents.feeds import create_feed
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.notifications.create import NotificationDraft, create_notifications
from fleet.services.records.legal_holds import place_legal_hold
from fleet.services.records.unit_of_work import unit_of_work
from fleet.services.units.couplings import couple
from fleet.services.units.meters import record_reading
from fleet.services.units.mountings import mount
from fleet.services.units.units import create_unit
from fleet.services.units.whereabouts import Left, record_whereabouts
from tests.factories import tables
from tests.factories.tables import TableFactory, factory_of

NOON, TODAY, HOUR = tables.NOON, tables.TODAY, tables.HOUR
_numbers = count(1)


CarrierFactory = factory_of(
    models.Carrier, name="Ninefold Larder Lines", usdot_number="0000000", time_zone="America/Chicago"
)
SiteFactory = factory_of(
    models.Site,
    name="North Yard",
    time_zone="America/Chicago",
    code=factory.LazyAttributeSequence(lambda site, number: f"{site.name.split(maxsplit=1)[0]}-{number + 1}"),
)
PersonRoleFactory = factory_of(models.PersonRole, starts_on=dt.date(2026, 1, 1))


class PersonFactory(TableFactory[models.Person]):
    """A person with roles in force, as authentication would hand them on; `reachable` has an address for mail."""

    class Meta:
        model = models.Person
        skip_postgeneration_save = True

    class Params:
        reachable = factory.Trait(
            email=factory.LazyAttribute(lambda person: f"{person.name.split(maxsplit=1)[0].lower()}@carrier.invalid")
        )

    name = "Ada Brisk"
    password = ""

    @factory.post_generation
    def roles(self: Any, create: bool, given: Iterable[Role] | None, **fields: Any) -> None:
        roles = tuple(given or ())
        for role in roles:
            PersonRoleFactory.create(person=self, role=role)
        self.current_roles = frozenset(roles)

    @factory.post_generation
    def scopes(self: Any, create: bool, given: Iterable[Scope] | None, **fields: Any) -> None:
        for scope in given or ():
            QualificationFactory.create(person=self, scope=scope)


OF_A_PERSON: dict[str, Any] = {
    "person": factory.SubFactory(PersonFactory),
    "recorded_by": factory.SelfAttribute("person"),
}
PolicyFactory = factory_of(
    models.Policy,
    key="walk_valid_hours",
    value=24,
    valid_from=factory.Sequence(lambda number: NOON - 72 * HOUR + number * dt.timedelta(seconds=1)),
)
QualificationFactory = factory_of(
    models.Qualification,
    **OF_A_PERSON,
    scope=Scope.BRAKES_REPAIR,
    evidence="apprenticeship of two years",
    starts_on=dt.date(2025, 1, 1),
)
OnCallShiftFactory = factory_of(
    models.OnCallShift,
    **OF_A_PERSON,
    starts_at=NOON - 6 * HOUR,
    ends_at=NOON + 6 * HOUR,
    recorded_at=factory.SelfAttribute("starts_at"),
)
DeviceTokenFactory = factory_of(models.DeviceToken, device="phone")
SignInAttemptFactory = factory_of(models.SignInAttempt)
SignatureFactory = factory_of(models.Signature, shown="I sign.", method=SignatureMethod.TYPED, content_hash="0" * 64)

UnitChainFactory = factory_of(models.UnitChain, unit=factory.SubFactory(f"{__name__}.UnitFactory", chain=None))


class UnitFactory(TableFactory[models.Unit]):
    """A unit's row with the head of its history, and nothing else."""

    class Meta:
        model = models.Unit
        skip_postgeneration_save = True

    kind = UnitKind.TRAILER
    number = factory.Sequence(lambda number: f"LR-{number + 100}")
    chain = factory.RelatedFactory(UnitChainFactory, "unit", head=GENESIS)


TractorDetailsFactory = factory_of(models.TractorDetails)
TrailerDetailsFactory = factory_of(models.TrailerDetails)
CoolingUnitDetailsFactory = factory_of(models.CoolingUnitDetails)
AxleFactory = factory_of(
    models.Axle, number=2, role=AxleRole.TRAILER, brake_type="drum", chamber_type="24", stroke_class="long"
)
"""A trailer's axle with long-stroke type 24 chambers: readjustment limit 2 in."""
CouplingFactory = factory_of(models.Coupling)
CouplingMemberFactory = factory_of(models.CouplingMember)
MountingFactory = factory_of(models.Mounting)
MeterReadingFactory = factory_of(models.MeterReading)
MeterReplacementFactory = factory_of(models.MeterReplacement)
WhereaboutsFactory = factory_of(models.Whereabouts)
CoolingReadingFactory = factory_of(models.CoolingReading)
CoolingForecastFactory = factory_of(models.CoolingForecast, readings=0)

StoredFileFactory = factory_of(models.StoredFile, one_for_each=("sha256",), size=1, media_type="image/png")
FileRemovalFactory = factory_of(models.FileRemoval)
DocumentFactory = factory_of(
    models.Document,
    kind="registration",
    person=None,
    unit=factory.LazyAttribute(lambda row: UnitFactory.create() if row.kind == "registration" else None),
)
FeedTokenFactory = factory_of(models.FeedToken)

NotificationFactory = factory_of(models.Notification, code="hold_placed")
DeliveryFactory = factory_of(models.Delivery)
WebhookFactory = factory_of(
    models.WebhookEndpoint, **OF_A_PERSON, url="https://hooks.carrier.invalid/in", secret="whsec_" + "A" * 43 + "="
)

HistoryEntryFactory = factory_of(models.HistoryEntry)
HistoryContentFactory = factory_of(models.HistoryContent)
LegalHoldFactory = factory_of(models.LegalHold)
DeletionFactory = factory_of(
    models.Deletion,
    what=Deleted.PHOTO,
    unit_name=factory.LazyAttribute(lambda row: str(row.unit or "")),
    unit=None,
    record_kind="driver_report",
    retained_until=dt.date(2026, 2, 1),
    rule="3 months from the day the written report was prepared",
    source="49 CFR 396.11(a)(4)",
    content_hash="ab" * 32,
)
"""The record of a photo that was deleted, as only the owner of the tables could write it."""
IdempotencyRecordFactory = factory_of(models.IdempotencyRecord)
JobPlaceFactory = factory_of(models.JobPlace)
JobRunFactory = factory_of(models.JobRun)
QueueReportFactory = factory_of(models.QueueReport)
RestoreFactory = factory_of(models.Restore)
SkippedRecordFactory = factory_of(models.SkippedRecord)


# People


def make_person(name: str = "Ada Brisk", *roles: Role, **fields: Any) -> Person:
    return PersonFactory.create(name=name, roles=roles, **fields)


def make_recipient(name: str = "Hob Anselm", *, roles: Iterable[Role] = (), **fields: Any) -> Person:
    """Somebody who can be written to."""
    return PersonFactory.create(name=name, roles=roles, reachable=True, **fields)


def give_role(person: Person, role: Role, site: Site | None = None, **days: dt.date | None) -> PersonRole:
    return PersonRoleFactory.create(person=person, role=role, site=site, **days)


def qualify(person: Person, scope: Scope, *, ends_on: dt.date | None = None) -> Qualification:
    return QualificationFactory.create(person=person, scope=scope, ends_on=ends_on)


def make_qualification(person: Person | None = None) -> Qualification:
    return qualify(person or make_person("Greta Lind", Role.MECHANIC), Scope.BRAKES_REPAIR)


def make_inspector(name: str = "Greta Lind") -> Person:
    """Somebody of that name who is qualified for periodic inspections, and has been for long."""
    person = Person.objects.filter(name=name).first() or make_person(name, Role.MECHANIC)
    held = {"person": person, "scope": "periodic_inspection", "starts_on": dt.date(2020, 1, 1)}
    Qualification.objects.get_or_create(
        **held, defaults={"evidence": "course", "recorded_by": person, "recorded_at": NOON}
    )
    return person


def make_token(person: Person, *, device: str = "phone", at: dt.datetime = NOON) -> tuple[DeviceToken, str]:
    token = PREFIX + secrets.token_urlsafe(32)
    ends = lifetime(at)
    row = DeviceTokenFactory.create(
        person=person,
        device=device,
        token_hash=token_hash(token),
        created_at=at,
        renewed_on=at.date(),
        expires_at=ends.expires_at,
        ends_at=ends.ends_at,
    )
    return row, token


def make_feed(person: Person, **filters: object) -> tuple[FeedToken, str]:
    """A feed and its token."""
    return create_feed(name="papers", filters=filters, actor=person, now=NOON)


# The carrier and its units


def make_carrier(time_zone: str = "America/Chicago") -> Carrier:
    return CarrierFactory.create(time_zone=time_zone)


def make_site(name: str = "North Yard", time_zone: str = "America/Chicago") -> Site:
    return SiteFactory.create(name=name, time_zone=time_zone)


def make_bare_unit(number: str = "LR-46", *, kind: UnitKind = UnitKind.TRAILER, home_site: Site | None = None) -> Unit:
    return UnitFactory.create(number=number, kind=kind, home_site=home_site)


def make_unit(kind: UnitKind = UnitKind.TRACTOR, number: str | None = None, **facts: Any) -> Unit:
    """A unit as a desk adds it, with two axles where it has wheels."""
    given = {"number": number or f"T-{next(_numbers)}", **facts}
    axles = given.pop("axles", None)
    details = given.pop("details", {})
    if axles is None:
        role = {"tractor": "drive", "trailer": "trailer"}.get(kind)
        axles = [{"number": place, "role": role, "dual": True} for place in (1, 2)] if role else []
    return create_unit(kind=kind, facts=given, details=details, axles=axles, actor=_desk(), now=NOON - 48 * HOUR)


def make_coupling(*units: Unit, started_at: dt.datetime = NOON - 24 * HOUR) -> Coupling:
    given = units or (make_unit(), make_unit(UnitKind.TRAILER))
    return couple(unit_ids=[unit.pk for unit in given], started_at=started_at, actor=_desk(), now=NOON)


def make_mounting(
    trailer: Unit | None = None, cooling_unit: Unit | None = None, started_at: dt.datetime = NOON - 24 * HOUR
) -> Mounting:
    trailer = trailer or make_unit(UnitKind.TRAILER)
    cooling_unit = cooling_unit or make_unit(UnitKind.COOLING_UNIT)
    return mount(trailer_id=trailer.pk, cooling_unit_id=cooling_unit.pk, started_at=started_at, actor=_desk(), now=NOON)


def make_reading(
    unit: Unit | None = None,
    shown: str = "1000.0",
    *,
    meter: MeterKind = MeterKind.ODOMETER_MI,
    read_at: dt.datetime = NOON - 24 * HOUR,
) -> MeterReading:
    unit = unit or make_unit()
    return record_reading(unit_id=unit.pk, meter=meter, shown=Decimal(shown), read_at=read_at, actor=_desk(), now=NOON)


def make_whereabouts(unit: Unit | None = None, since: dt.datetime = NOON - 24 * HOUR, **left: Any) -> Whereabouts:
    left = {"location": Location.CUSTOMER, "address": "Maple Cold, door 4", **left}
    key = (unit or make_unit(UnitKind.TRAILER)).pk
    return record_whereabouts(unit_id=key, left=Left(**left), since=since, actor=_desk(), now=NOON)


def make_document(
    unit: Unit | None = None, *, kind: str = "registration", person: Person | None = None, **facts: Any
) -> Document:
    given = {"starts_on": dt.date(2025, 7, 1), "ends_on": dt.date(2026, 6, 30), **facts}
    if kind == "periodic_inspection":
        given = {"program": "self", "inspector": "Greta Lind", **given}
        if given["program"] == "self":
            make_inspector(str(given["inspector"]))
    subject = DocumentSubject(person_id=person.pk) if person else DocumentSubject(unit_id=(unit or make_unit()).pk)
    return record_document(kind=kind, subject=subject, facts=given, today=TODAY, actor=_desk(), now=NOON)


def make_legal_hold(unit: Unit, actor: Person | None = None, cause: HoldCause = HoldCause.CLAIM) -> LegalHold:
    actor = actor or make_person("Vera Holt", Role.COMPLIANCE)
    return place_legal_hold(unit_id=unit.pk, cause=cause, reason="claim over a load", actor=actor, now=NOON)


def make_deletion(unit: Unit | None, **fields: Any) -> Deletion:
    return DeletionFactory.create(unit=unit, **fields)


Tamper = Callable[..., int]
"""Runs one statement on the tables of history with their triggers off; how many rows it changed."""


def write_entries(unit: Unit, count: int, at: dt.datetime = NOON) -> None:
    """Append this many entries, in one transaction, a minute apart."""
    actor = PersonFactory.create(name="Iris Quade")
    with unit_of_work([unit.pk], actor=actor, now=at + dt.timedelta(minutes=7)) as work:
        for number in range(count):
            work.record(
                unit.pk,
                "defect_reported",
                subject=None,
                performed_at=at + dt.timedelta(minutes=number),
                body={"point": "brakes.stroke", "value": f"2.{number}1"},
            )


def history_of(unit: Unit) -> list[str]:
    """The kinds of the unit's history, oldest first."""
    return list(unit.history.order_by("sequence").values_list("kind", flat=True))


# Notifications


def make_webhook(person: Person, url: str = "https://hooks.carrier.invalid/in") -> WebhookEndpoint:
    return WebhookFactory.create(person=person, url=url)


def put_on_call(person: Person, role: Role, site: Site | None = None, **times: dt.datetime | None) -> OnCallShift:
    return OnCallShiftFactory.create(person=person, role=role, site=site, **times)


HOLD_FACTS: dict[str, object] = {
    "unit": "LR-46",
    "hold": 12,
    "what": "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in",
    "reported_by": "Iris Quade",
    "at": NOON,
}


def hold_draft(
    *people: Person, subject: UUID | None = None, unit: Unit | None = None, **facts: object
) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.HOLD_PLACED,
        code="hold_placed",
        subject=subject or uuid7(),
        people=[person.pk for person in people],
        facts=HOLD_FACTS | facts,
        unit=unit.pk if unit else None,
        urgent=True,
    )


def waiting_draft(*people: Person, subject: UUID | None = None, step: str = "") -> NotificationDraft:
    """Something that can wait for the summary."""
    return NotificationDraft(
        kind=NotificationKind.EXPECTED_TIME_MOVED,
        code="hold_placed",
        subject=subject or uuid7(),
        people=[person.pk for person in people],
        facts=HOLD_FACTS,
        step=step,
    )


def owe(*drafts: NotificationDraft, now: dt.datetime = NOON) -> list[Notification]:
    """Owe in a transaction of its own, for tests that commit."""
    with transaction.atomic():
        return create_notifications(drafts, now=now)


def _desk() -> Person:
    desk = Person.objects.filter(name="Vera Holt").first() or make_person("Vera Holt", Role.COMPLIANCE)
    desk.current_roles = frozenset({Role.COMPLIANCE})
    return desk
