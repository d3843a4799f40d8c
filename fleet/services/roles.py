"""Dated roles and qualifications of people: giving and ending one. What a role may do is said where it is used."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from common.errors import Conflict, NotFound
from fleet.enums import Role, Scope
from fleet.models import Person, PersonRole, Qualification
from fleet.services.instants import refuse_last_day_before
from fleet.services.row_edits import lock_row, log_change
from fleet.states import person_state
from fleet.transitions import PERSON

_OPEN = Q(role=Role.ADMINISTRATOR, ends_on__isnull=True)


@transaction.atomic
def grant_role(
    *, person_id: UUID, role: Role, site_id: UUID | None, starts_on: date, ends_on: date | None, actor: Person
) -> PersonRole:
    """Give a role from a day to a day, last day included, at one site or everywhere.

    NotFound `person_unknown`, Conflict `action_not_allowed`, `role_already_held`, Invalid `end_before_beginning`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    PERSON.resolve("grant_role", person_state(person), actor.current_roles, {"role": role, "starts_on": starts_on})
    refuse_last_day_before(ends_on, starts_on, "/ends_on")
    held = PersonRole.objects.filter(person=person, role=role)
    held = held.filter(site__isnull=True) if site_id is None else held.filter(site_id=site_id)
    held = held.filter(Q(ends_on__isnull=True) | Q(ends_on__gte=starts_on))
    if ends_on is not None:
        held = held.filter(starts_on__lte=ends_on)
    if held.exists():
        raise Conflict("role_already_held")
    row = PersonRole.objects.create(person=person, role=role, site_id=site_id, starts_on=starts_on, ends_on=ends_on)
    log_change(row, "given", actor)
    return row


@transaction.atomic
def end_role(*, person_id: UUID, role_id: UUID, ends_on: date, today: date, actor: Person) -> PersonRole:
    """Let a role end with a day.

    NotFound `role_unknown`, Conflict `role_ended`, `last_administrator`, Invalid `end_before_beginning`.
    """
    lock_administrators()
    lock_row(Person.objects.all(), person_id, "role_unknown")
    row = PersonRole.objects.filter(pk=role_id, person_id=person_id).first()
    if row is None:
        raise NotFound("role_unknown")
    if row.ends_on is not None and row.ends_on < today:
        raise Conflict("role_ended", ends_on=row.ends_on)
    refuse_last_day_before(ends_on, row.starts_on, "/ends_on")
    row.ends_on = ends_on
    row.save(update_fields=["ends_on"])
    refuse_no_administrator_left(today)
    log_change(row, "ended", actor)
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
    *,
    person_id: UUID,
    scope: Scope,
    evidence: str,
    starts_on: date,
    ends_on: date | None,
    actor: Person,
    now: datetime,
) -> Qualification:
    """Record the evidence that a person may do a scope of work.

    NotFound `person_unknown`, Invalid `end_before_beginning`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    refuse_last_day_before(ends_on, starts_on, "/ends_on")
    return Qualification.objects.create(
        person=person,
        scope=scope,
        evidence=evidence,
        starts_on=starts_on,
        ends_on=ends_on,
        recorded_by=actor,
        recorded_at=now,
    )


@transaction.atomic
def end_qualification(*, qualification_id: UUID, ends_on: date, actor: Person) -> Qualification:
    """Let a qualification end with a day, never a later one than it has: longer needs evidence of its own.

    NotFound `qualification_unknown`, Invalid `end_before_beginning`, Conflict `qualification_ends_before`.
    """
    row = lock_row(Qualification.objects.all(), qualification_id, "qualification_unknown")
    refuse_last_day_before(ends_on, row.starts_on, "/ends_on")
    if row.ends_on is not None and ends_on > row.ends_on:
        raise Conflict("qualification_ends_before", ends_on=row.ends_on)
    row.ends_on = ends_on
    row.save(update_fields=["ends_on"])
    log_change(row, "ended", actor)
    return row
