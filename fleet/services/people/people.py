"""People, with or without a sign-in: adding, editing, giving a password, and leaving, which ends every session."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from common.clock import refuse_future_day
from common.errors import Invalid, NotAllowed
from common.security import log_event
from common.versions import require_version
from fleet.enums import Role
from fleet.models import Carrier, Person, PersonRole
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.people.lookup import person_state
from fleet.services.people.access import end_access
from fleet.services.people.passwords import COLUMNS, use_password
from fleet.services.people.roles import lock_administrators, refuse_no_administrator_left
from fleet.services.records.edits import edit_row, lock_row, log_change
from fleet.transitions import PERSON

OFFICE = frozenset({Role.ADMINISTRATOR, Role.COMPLIANCE})
"""They edit everybody; others on shift only people without a sign-in, such as an outside firm's hand at night."""


@transaction.atomic
def create_person(*, facts: Mapping[str, object], password: str | None, actor: Person) -> Person:
    """Add a person with columns of `Person`; with a `username` and a password, one who may sign in and set an own one.

    NotAllowed `sign_in_needs_administrator` for a username given by anybody else; Invalid `password_missing`,
    `password_without_username`, `password_refused`.
    """
    _refuse_sign_in_by_others(facts, actor)
    if bool(facts.get("username")) != (password is not None):
        missing = password is None
        raise Invalid("password_missing" if missing else "password_without_username", pointer="/password")
    person = add_people([_lower(facts)], password=password, actor=actor)[0]
    if person.username:
        log_event("sign_in_given", person.log_name, actor=actor.log_name)
    return person


def add_people(given: Sequence[Mapping[str, object]], *, password: str | None = None, actor: Person) -> list[Person]:
    """Insert people with these columns, a username in lower case; without a password none can sign in yet."""
    people = [Person(**facts) for facts in given]
    for person in people:
        use_password(person, password, given=True)
    Person.objects.bulk_create(people)
    for person, facts in zip(people, given, strict=True):
        log_change(person, "added", actor, facts)
    return people


@transaction.atomic
def edit_person(
    *, person_id: UUID, version: int | None, changes: Mapping[str, object], actor: Person, now: datetime
) -> Person:
    """Change what is given; taking a username away ends every session.

    NotFound `person_unknown`, Conflict `action_not_allowed`, `last_administrator`, NotAllowed `person_signs_in`,
    `person_is_administrator` and as above.
    """
    _refuse_sign_in_by_others(changes, actor)
    lock_administrators()
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    if person.username and OFFICE.isdisjoint(actor.current_roles):
        raise NotAllowed("person_signs_in")
    if person.pk != actor.pk and Role.ADMINISTRATOR not in actor.current_roles and _is_administrator(person, now):
        raise NotAllowed("person_is_administrator")
    PERSON.resolve("edit", person_state(person), actor.current_roles)
    taken_away = bool(person.username and not changes.get("username", person.username))
    if taken_away:
        _refuse_sign_in_by_others({"username": person.username}, actor)
    before = person.log_name
    edit_row(person, version, _lower(changes), actor)
    if taken_away:
        refuse_no_administrator_left(carriers_day(now))
        end_access(person, why="sign_in_taken_away", actor=actor, now=now)
        log_event("sign_in_taken_away", before, actor=actor.log_name)
    elif person.log_name != before:
        log_event("sign_in_renamed", person.log_name, actor=actor.log_name, before=before)
    return person


@transaction.atomic
def set_password(*, person_id: UUID, version: int | None, password: str, actor: Person, now: datetime) -> Person:
    """Give a person a new password and end every session, feed and webhook from before it.

    NotFound `person_unknown`, Conflict `action_not_allowed`, Invalid `no_username`, `password_refused`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    PERSON.resolve("set_password", person_state(person), actor.current_roles, {"password": password})
    require_version(person, version)
    _give_password(person, password, actor, now)
    log_change(person, "edited", actor, dict.fromkeys(COLUMNS))
    log_event("password_given", person.log_name, actor=actor.log_name)
    return person


@transaction.atomic
def set_password_at_console(*, person_id: UUID, password: str, now: datetime) -> Person:
    """The same at the server's console, where nobody is signed in. Invalid as above."""
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    _give_password(person, password, None, now)
    log_event("password_given", person.log_name)
    return person


@transaction.atomic
def leave(*, person_id: UUID, version: int | None, left_on: date, today: date, actor: Person, now: datetime) -> Person:
    """Record that a person left: every session ends at once, every role with that day.

    NotFound `person_unknown`, Conflict `action_not_allowed`, `last_administrator`, Invalid `date_in_future`.
    """
    lock_administrators()
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    PERSON.resolve("leave", person_state(person), actor.current_roles, {"left_on": left_on})
    refuse_future_day(left_on, today, "/left_on")
    open_roles = PersonRole.objects.filter(person=person, starts_on__lte=left_on)
    open_roles.filter(Q(ends_on__isnull=True) | Q(ends_on__gt=left_on)).update(
        ends_on=left_on, ended_by=actor, ended_at=now
    )
    edit_row(person, version, {"left_on": left_on}, actor)
    refuse_no_administrator_left(today)
    end_access(person, why="left", actor=actor, now=now)
    log_event("person_left", person.log_name, actor=actor.log_name, left_on=left_on)
    return person


def _give_password(person: Person, password: str, actor: Person | None, now: datetime) -> None:
    if not person.username:
        raise Invalid("no_username", pointer="/password")
    first = not person.has_usable_password()
    use_password(person, password, given=True)
    if not first:
        end_access(person, why="password_given", actor=actor, now=now)
    person.version += 1
    person.save(update_fields=[*COLUMNS, "version"])


def _is_administrator(person: Person, now: datetime) -> bool:
    return person.roles.filter(role=Role.ADMINISTRATOR).exclude(ends_on__lt=carriers_day(now)).exists()


def _lower(facts: Mapping[str, object]) -> Mapping[str, object]:
    """Keep a username in lower case: nobody remembers how it was typed, and two must not differ by that alone."""
    return {**facts, "username": str(facts["username"]).lower()} if facts.get("username") else facts


def _refuse_sign_in_by_others(facts: Mapping[str, object], actor: Person) -> None:
    if facts.get("username") and Role.ADMINISTRATOR not in actor.current_roles:
        raise NotAllowed("sign_in_needs_administrator")


@transaction.atomic
def outside_person(*, name: str, firm: str, actor: Person, title: str = "") -> Person:
    """The person without a sign-in who has that name at that firm, added when there is none.

    Invalid `firm_is_the_carrier`: the carrier's own people sign in, and nobody signs in their names.
    """
    if Carrier.objects.filter(name__iexact=" ".join(firm.split())).exists():
        raise Invalid("firm_is_the_carrier", pointer="/firm")
    known = Person.objects.filter(username__isnull=True, name__iexact=name, firm__iexact=firm, left_on__isnull=True)
    found = known.order_by("pk").first()
    if found is not None:
        return found
    return create_person(facts={"name": name, "firm": firm, "title": title}, password=None, actor=actor)
