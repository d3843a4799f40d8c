"""The first rows of an installation: the carrier and its first administrator, before anybody can sign in."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from common.clock import day_in_zone
from common.errors import Conflict
from common.security import tell
from fleet.enums import Role
from fleet.models import Carrier, Person, PersonRole
from fleet.services.passwords import use_password
from fleet.services.sites import refuse_malformed_usdot, refuse_unknown_zone


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
    tell("sign_in_given", person.log_name, role=Role.ADMINISTRATOR)
    person.current_roles = frozenset({Role.ADMINISTRATOR})
    return person
