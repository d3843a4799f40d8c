"""Dated roles and qualifications of people: giving and ending one. What a role may do is said where it is used."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from common.clock import refuse_last_day_before
from common.errors import Conflict, Invalid, NotAllowed, or_not_found
from common.security import log_event
from fleet.enums import Role, Scope
from fleet.models import Person, PersonRole, Qualification
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.people.lookup import person_state
from fleet.services.records.edits import lock_row
from fleet.transitions import PERSON

_OPEN = Q(role=Role.ADMINISTRATOR, ends_on__isnull=True)


@transaction.atomic
def grant_role(
    *,
    person_id: UUID,
    role: Role,
    site_id: UUID | None,
    starts_on: date,
    ends_on: date | None,
    actor: Person,
    now: datetime,
    console_reason: str = "",
) -> PersonRole:
    """Give a role from today or a later day to a day, last day included, at one site or everywhere; never to oneself.

    `console_reason` flags one that is given at the server's console, which a sole administrator has for oneself.
    NotFound `person_unknown`, Conflict `action_not_allowed`, `role_already_held`, Invalid `end_before_beginning`,
    `role_backdated`, `administrator_at_one_site`, NotAllowed `grants_oneself`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    refuse_role(
        person=person,
        role=role,
        site_id=site_id,
        starts_on=starts_on,
        ends_on=ends_on,
        actor=actor,
        today=carriers_day(now),
        at_console=bool(console_reason),
    )
    held = PersonRole.objects.filter(person=person, role=role)
    if any(row.site_id == site_id and overlaps(row, starts_on, ends_on) for row in held):
        raise Conflict("role_already_held")
    row = PersonRole(
        person=person,
        role=role,
        site_id=site_id,
        starts_on=starts_on,
        ends_on=ends_on,
        granted_by=actor,
        granted_at=now,
        console_reason=console_reason,
    )
    return give_roles([row], actor=actor)[0]


def give_roles(rows: Sequence[PersonRole], *, actor: Person) -> list[PersonRole]:
    """Insert roles that were found right, and log each."""
    given = PersonRole.objects.bulk_create(rows)
    for row in given:
        notify_of_role(row, actor)
    return given


def refuse_role(
    *,
    person: Person,
    role: Role,
    site_id: UUID | None,
    starts_on: date,
    ends_on: date | None,
    actor: Person,
    today: date,
    at_console: bool = False,
) -> None:
    """Raise as `grant_role` does for what may not be given to a person, whatever roles there are."""
    PERSON.resolve("grant_role", person_state(person), actor.current_roles, {"role": role, "starts_on": starts_on})
    if person.pk == actor.pk and not at_console:
        raise NotAllowed("grants_oneself")
    if role == Role.ADMINISTRATOR and site_id is not None:
        raise Invalid("administrator_at_one_site", pointer="/site")
    refuse_last_day_before(ends_on, starts_on, "/ends_on")
    if starts_on < today:
        raise Invalid("role_backdated", pointer="/starts_on")


def overlaps(held: PersonRole, starts_on: date, ends_on: date | None) -> bool:
    """Whether a role is held on some day from one to another, last days included."""
    begins_in_time = ends_on is None or held.starts_on <= ends_on
    return begins_in_time and (held.ends_on is None or held.ends_on >= starts_on)


def notify_of_role(row: PersonRole, actor: Person | None) -> None:
    """Log that a role was given; by nobody who signed in where `actor` is None."""
    log_event(
        "role_given",
        row.person.log_name,
        actor="" if actor is None else actor.log_name,
        role=row.role,
        site=row.site or "everywhere",
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        console=bool(row.console_reason),
    )


@transaction.atomic
def end_role(*, person_id: UUID, role_id: UUID, ends_on: date, actor: Person, now: datetime) -> PersonRole:
    """Let a role end with a day, yesterday at the earliest; nobody prolongs a role of one's own.

    NotFound `role_unknown`, Conflict `role_ended`, `last_administrator`, Invalid `end_before_beginning`,
    `role_end_backdated`, NotAllowed `grants_oneself`.
    """
    today = carriers_day(now)
    lock_administrators()
    person = lock_row(Person.objects.all(), person_id, "role_unknown")
    row = or_not_found(PersonRole.objects.filter(pk=role_id, person_id=person_id).first(), "role_unknown")
    if row.ends_on is not None and row.ends_on < today:
        raise Conflict("role_ended", ends_on=row.ends_on)
    if person_id == actor.pk and row.ends_on is not None and ends_on > row.ends_on:
        raise NotAllowed("grants_oneself")
    refuse_last_day_before(ends_on, row.starts_on, "/ends_on")
    if ends_on < today - timedelta(days=1):
        raise Invalid("role_end_backdated", pointer="/ends_on")
    row.ends_on, row.ended_by, row.ended_at = ends_on, actor, now
    row.save(update_fields=["ends_on", "ended_by", "ended_at"])
    refuse_no_administrator_left(today)
    log_event("role_ended", person.log_name, actor=actor.log_name, role=row.role, ends_on=ends_on)
    return row


def lock_administrators() -> None:
    """Lock the open roles of administrators, so that two of them cannot end each other's at once. Call it first."""
    list(PersonRole.objects.select_for_update(no_key=True).filter(_OPEN).order_by("pk"))


def refuse_no_administrator_left(today: date) -> None:
    """Conflict `last_administrator` when nobody is left who may sign in as administrator without an end."""
    if not PersonRole.objects.filter(
        _OPEN, starts_on__lte=today, person__left_on__isnull=True, person__username__isnull=False
    ).exists():
        raise Conflict("last_administrator")


@transaction.atomic
def grant_qualification(
    *, person_id: UUID, scope: Scope, evidence: str, starts_on: date, ends_on: date | None, actor: Person, now: datetime
) -> Qualification:
    """Record the evidence that a person may do a scope of work; never of oneself.

    NotFound `person_unknown`, Invalid `end_before_beginning`, NotAllowed `qualifies_oneself`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    if person.pk == actor.pk:
        raise NotAllowed("qualifies_oneself")
    refuse_last_day_before(ends_on, starts_on, "/ends_on")
    row = Qualification.objects.create(
        person=person,
        scope=scope,
        evidence=evidence,
        starts_on=starts_on,
        ends_on=ends_on,
        recorded_by=actor,
        recorded_at=now,
    )
    log_event("qualification_recorded", person.log_name, actor=actor.log_name, scope=scope, starts_on=starts_on)
    return row


@transaction.atomic
def end_qualification(*, qualification_id: UUID, ends_on: date, actor: Person, now: datetime) -> Qualification:
    """Let a qualification end with a day, never a later one than it has: longer needs evidence of its own.

    NotFound `qualification_unknown`, Invalid `end_before_beginning`, Conflict `qualification_ends_before`.
    """
    row = lock_row(Qualification.objects.all(), qualification_id, "qualification_unknown")
    refuse_last_day_before(ends_on, row.starts_on, "/ends_on")
    if row.ends_on is not None and ends_on > row.ends_on:
        raise Conflict("qualification_ends_before", ends_on=row.ends_on)
    row.ends_on, row.ended_by, row.ended_at = ends_on, actor, now
    row.save(update_fields=["ends_on", "ended_by", "ended_at"])
    log_event("qualification_ended", row.person.log_name, actor=actor.log_name, scope=row.scope, ends_on=ends_on)
    return row
