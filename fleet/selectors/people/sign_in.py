"""Who is behind a token of a device or a feed, with the roles in force on this day of the carrier, in one statement."""

import json
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from functools import cache
from typing import Literal
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import BinaryField, DateField, DateTimeField, F, Func, OuterRef, Q, Subquery, UUIDField, Value
from django.db.models.functions import Cast, Coalesce, JSONObject

from common.compiled import INSTANT, CompiledObjects, Parameter
from fleet.models import Carrier, DeviceToken, FeedToken, Person, PersonRole, Qualification
from fleet.models.people import Qualified
from fleet.rules.people.tokens import feed_token_hash, token_hash
from fleet.selectors.carrier.carrier import carriers_day


def token_in_force(token: str, *, now: datetime) -> DeviceToken | None:
    """Return the row of a token that is known, not ended and not revoked, whose person has not left; else None.

    Its `person` carries `current_roles` and `sited_roles`: roles count by their days, last day included, in the
    carrier's zone (UTC while there is no carrier); and `known_qualifications`, whatever their days.
    """
    key = token_hash(token)
    return None if key is None else _in_force(_compiled("token_hash").fetch(token_hash=key, now=now))


def token_in_force_named(token_id: UUID, *, now: datetime) -> DeviceToken | None:
    """Return the same of the token whose row a session names."""
    return _in_force(_compiled("pk").fetch(pk=token_id, now=now))


def _in_force(rows: Iterable[DeviceToken]) -> DeviceToken | None:
    for found in rows:
        _set_roles(found.person, [json.loads(each) for each in found.held])  # type: ignore[attr-defined]  # annotated
        found.person.known_qualifications = tuple(
            Qualified(row["scope"], _day(row["starts_on"]), _day(row["ends_on"]) if row["ends_on"] else None)
            for row in map(json.loads, found.qualified)  # type: ignore[attr-defined]  # as above
        )
        return found
    return None


def feed_in_force(token: str, *, now: datetime) -> FeedToken | None:
    """Return the row of a feed's token that is known, not revoked and not over, whose person has not left; else None.

    Its `person` carries `current_roles` as above.
    """
    key = feed_token_hash(token)
    if key is None:
        return None
    feeds = FeedToken.objects.filter(token_hash=key, revoked_at__isnull=True, person__left_on__isnull=True)
    feeds = feeds.annotate(today=_carriers_day(Value(now))).filter(ends_on__gte=F("today"))
    found = feeds.select_related("person").annotate(held=_roles_today()).first()
    if found is not None:
        _set_roles(found.person, found.held)
    return found


def set_roles(person: Person, *, now: datetime) -> None:
    """Give a person who is not signed in the roles in force now, as the functions above do; none to one who left."""
    held = PersonRole.objects.in_force(carriers_day(now)).filter(person=person, person__left_on__isnull=True)
    _set_roles(person, [{"role": row.role, "site": str(row.site_id) if row.site_id else None} for row in held])


@cache
def _compiled(by: Literal["token_hash", "pk"]) -> CompiledObjects[DeviceToken]:
    """The statement for every request that comes with a token, or with a session that names one."""
    now = Parameter("now", INSTANT)
    tokens = (
        DeviceToken.objects.filter(
            **{by: Parameter(by, BinaryField() if by == "token_hash" else UUIDField())},
            revoked_at__isnull=True,
            expires_at__gt=now,
            ends_at__gt=now,
            person__left_on__isnull=True,
        )
        .annotate(today=_carriers_day(now))
        .annotate(held=_roles_today(), qualified=_qualifications())
    )
    return CompiledObjects(tokens, "person", also=("held", "qualified"))


def _set_roles(person: Person, held: Collection[Mapping[str, str | None]]) -> None:
    person.current_roles = frozenset(str(row["role"]) for row in held)
    person.sited_roles = frozenset(
        (str(row["role"]), None if row["site"] is None else UUID(row["site"])) for row in held
    )


def _carriers_day(now: Parameter | Value) -> Cast:
    zone = Coalesce(Subquery(Carrier.objects.values("time_zone")[:1]), Value("UTC"))
    return Cast(Func(zone, now, function="timezone", output_field=DateTimeField()), DateField())


def _roles_today() -> ArraySubquery:
    return ArraySubquery(
        PersonRole.objects.filter(person_id=OuterRef("person_id"), starts_on__lte=OuterRef("today"))
        .filter(Q(ends_on__isnull=True) | Q(ends_on__gte=OuterRef("today")))
        .order_by("role", "pk")
        .values(row=JSONObject(role="role", site="site_id"))
    )


def _qualifications() -> ArraySubquery:
    held = Qualification.objects.filter(person_id=OuterRef("person_id")).order_by("pk")
    return ArraySubquery(held.values(row=JSONObject(scope="scope", starts_on="starts_on", ends_on="ends_on")))


def _day(text: str) -> date:
    return date.fromisoformat(text)
