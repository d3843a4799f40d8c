"""What is done at the console before anybody can sign in, or when no administrator can any more."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from common.clock import day_in_zone
from common.errors import Conflict, Invalid
from common.security import log_event
from fleet.enums import Role
from fleet.models import Carrier, Person, PersonRole
from fleet.services.carrier.sites import refuse_malformed_usdot, refuse_unknown_zone
from fleet.services.people.passwords import use_password
from fleet.services.people.people import set_password_at_console
from fleet.services.people.roles import lock_administrators, notify_of_role


@transaction.atomic
def found_carrier(
    *, carrier: Mapping[str, object], administrator: Mapping[str, object], password: str, now: datetime
) -> Person:
    """Record the carrier and a first administrator, who can do everything else through the API from that day on.

    Conflict `carrier_exists` when there is one, Invalid `password_refused`, `time_zone_unknown`, `usdot_not_digits`.
    """
    refuse_unknown_zone(carrier)
    refuse_malformed_usdot(carrier)
    if Carrier.objects.exists():
        raise Conflict("carrier_exists")
    person = Person(**{**administrator, "username": str(administrator["username"]).lower()})
    use_password(person, password)
    founded = Carrier.objects.create(**carrier)
    person.save(force_insert=True)
    PersonRole.objects.create(
        person=person,
        role=Role.ADMINISTRATOR,
        starts_on=day_in_zone(now, founded.time_zone),
        granted_at=now,
        console_reason="the carrier's first administrator",
    )
    log_event("sign_in_given", person.log_name, role=Role.ADMINISTRATOR)
    person.current_roles = frozenset({Role.ADMINISTRATOR})
    return person


@transaction.atomic
def make_administrator(*, username: str, name: str, password: str, reason: str, now: datetime) -> Person:
    """Give whoever signs in with a name, or somebody new of that `name`, the administrator's role and a password.

    The role has no end and is flagged by its `console_reason`; every session of the person ends, and the password is to
    be changed after signing in. Invalid `person_unknown` for nobody on record without a `name`, `password_refused`;
    Conflict `username_taken` for the name of somebody who left, `carrier_missing` before there is a carrier.
    """
    carrier = Carrier.objects.first()
    if carrier is None:
        raise Conflict("carrier_missing")
    lock_administrators()
    person = Person.objects.select_for_update(no_key=True).filter(username=username.lower()).first()
    if person is None and not name:
        raise Invalid("person_unknown", pointer="/username")
    if person is not None and person.left_on is not None:
        raise Conflict("username_taken", pointer="/username")
    if person is None:
        person = Person(username=username.lower(), name=name)
        use_password(person, password, given=True)
        person.save(force_insert=True)
        log_event("sign_in_given", person.log_name)
    else:
        person = set_password_at_console(person_id=person.pk, password=password, now=now)
    today = day_in_zone(now, carrier.time_zone)
    held = PersonRole.objects.filter(person=person, role=Role.ADMINISTRATOR)
    if not any(row.starts_on <= today and row.ends_on is None for row in held):
        row = PersonRole.objects.create(
            person=person, role=Role.ADMINISTRATOR, starts_on=today, granted_at=now, console_reason=reason
        )
        notify_of_role(row, None)
    return person
