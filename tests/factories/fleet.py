"""What the carrier owns, made through the services that the API uses. Valid and plain by default."""

import datetime as dt
import secrets
from decimal import Decimal
from itertools import count
from typing import Any

from fleet.enums import MeterKind, Role, UnitKind
from fleet.models import (
    Coupling,
    DeviceToken,
    Document,
    FeedToken,
    MeterReading,
    Mounting,
    Person,
    PersonRole,
    Qualification,
    Site,
    Unit,
)
from fleet.rules.people.tokens import PREFIX, digest, lifetime
from fleet.services.documents.documents import record_document
from fleet.services.documents.feeds import create_feed
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.units.couplings import couple
from fleet.services.units.meters import record_reading
from fleet.services.units.mountings import mount
from fleet.services.units.units import create_unit
from tests.factories.notices import make_carrier, make_site
from tests.support.api import Caller

NOON = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
"""Friday 6 March 2026, 12:00 in Chicago."""
TODAY = dt.date(2026, 3, 6)
HOUR = dt.timedelta(hours=1)

_numbers = count(1)


def make_person(name: str = "Ada Brisk", *roles: Role, **fields: Any) -> Person:
    """A person with roles in force, as authentication would hand them on."""
    person = Person.objects.create(name=name, **fields)
    for role in roles:
        PersonRole.objects.create(person=person, role=role, starts_on=dt.date(2026, 1, 1))
    person.current_roles = frozenset(roles)
    return person


def make_token(person: Person, *, device: str = "phone", at: dt.datetime = NOON) -> tuple[DeviceToken, str]:
    token = PREFIX + secrets.token_urlsafe(32)
    ends = lifetime(at)
    row = DeviceToken.objects.create(
        person=person,
        device=device,
        digest=digest(token),
        created_at=at,
        renewed_on=at.date(),
        expires_at=ends.expires_at,
        ends_at=ends.ends_at,
    )
    return row, token


def make_feed(person: Person, **filters: object) -> tuple[FeedToken, str]:
    """A feed and its token."""
    return create_feed(name="papers", filters=filters, actor=person, now=NOON)


def sign_in(person: Person) -> Caller:
    return Caller(make_token(person)[1])


def caller(*roles: Role, name: str = "Ada Brisk") -> Caller:
    """Somebody with these roles, signed in."""
    return sign_in(make_person(name, *roles))


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


def make_inspector(name: str = "Greta Lind") -> Person:
    """Somebody of that name who is qualified for periodic inspections, and has been for long."""
    person = Person.objects.filter(name=name).first() or make_person(name, Role.MECHANIC)
    held = {"person": person, "scope": "periodic_inspection", "starts_on": dt.date(2020, 1, 1)}
    Qualification.objects.get_or_create(
        **held, defaults={"evidence": "course", "recorded_by": person, "recorded_at": NOON}
    )
    return person


def make_qualification(person: Person | None = None) -> Qualification:
    person = person or make_person("Greta Lind", Role.MECHANIC)
    return Qualification.objects.create(
        person=person,
        scope="brakes_repair",
        evidence="apprenticeship of two years",
        starts_on=dt.date(2025, 1, 1),
        recorded_by=person,
        recorded_at=NOON,
    )


def _desk() -> Person:
    desk = Person.objects.filter(name="Vera Holt").first() or make_person("Vera Holt", Role.COMPLIANCE)
    desk.current_roles = frozenset({Role.COMPLIANCE})
    return desk


__all__ = [
    "NOON",
    "TODAY",
    "Site",
    "caller",
    "make_carrier",
    "make_coupling",
    "make_document",
    "make_feed",
    "make_mounting",
    "make_person",
    "make_qualification",
    "make_reading",
    "make_site",
    "make_token",
    "make_unit",
    "sign_in",
]
