"""The first rows of an installation: the carrier and its first administrator, before anybody can sign in."""

from collections.abc import Mapping
from datetime import date

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from common.errors import Conflict, Invalid
from fleet.enums import Role
from fleet.models import Carrier, Person, PersonRole


@transaction.atomic
def found_carrier(
    *, carrier: Mapping[str, object], administrator: Mapping[str, object], password: str, today: date
) -> Person:
    """Record the carrier and a first administrator, who can then do everything else through the API.

    Conflict `carrier_exists` when there is one, Invalid `password_refused`.
    """
    if Carrier.objects.exists():
        raise Conflict("carrier_exists")
    person = Person(**{**administrator, "username": str(administrator["username"]).lower()})
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise Invalid("password_refused", pointer="/password", reasons=error.messages) from error
    person.set_password(password)
    Carrier.objects.create(**carrier)
    person.save(force_insert=True)
    PersonRole.objects.create(person=person, role=Role.ADMINISTRATOR, starts_on=today)
    person.current_roles = frozenset({Role.ADMINISTRATOR})
    return person
