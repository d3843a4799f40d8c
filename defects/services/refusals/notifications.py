"""Who is told that a driver refused a unit, at once, and what the second person found. Decides nothing about it."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from defects.models import Refusal, SecondLook
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients


def notify_of_refusal(refusal: Refusal, *, now: datetime) -> list[Notification]:
    """Notify the foremen of the unit's site and dispatch of a refusal, at once; never the driver's own phone.

    Dispatch hears of the unit and the reason, not of whom: a refusal is protected (49 U.S.C. 31105, 49 CFR 390.6),
    and who refused is nothing that trips are planned by.
    """
    shop, dispatch = RecipientGroup(Role.FOREMAN, refusal.unit.home_site_id), RecipientGroup(Role.DISPATCH)
    people = find_recipients([shop, dispatch], now=now)
    facts = {"unit": str(refusal.unit), "reason": refusal.reason, "at": refusal.refused_at}
    foremen = _keys(people[shop], but=refusal.person_id)
    others = [key for key in _keys(people[dispatch], but=refusal.person_id) if key not in foremen]
    return create_notifications(
        [
            _refused(refusal, "refusal_by_driver", foremen, {**facts, "refused_by": refusal.person.name}),
            _refused(refusal, "refusal_of_unit", others, facts),
        ],
        now=now,
    )


def notify_of_second_look(look: SecondLook, *, now: datetime) -> list[Notification]:
    """Owe dispatch, which may offer the unit again, and the driver who refused it what the second person found."""
    dispatch = RecipientGroup(Role.DISPATCH)
    refusal = look.refusal
    people = [*_keys(find_recipients([dispatch], now=now)[dispatch], but=look.person_id), refusal.person_id]
    draft = NotificationDraft(
        kind=NotificationKind.SECOND_LOOK_DONE,
        code="second_look_done",
        subject=refusal.pk,
        people=people,
        facts={"unit": str(refusal.unit), "looked_by": look.person.name, "found": look.found, "at": look.looked_at},
        unit=refusal.unit_id,
    )
    return create_notifications([draft], now=now)


def _refused(refusal: Refusal, code: str, people: list[UUID], facts: dict[str, object]) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.UNIT_REFUSED,
        code=code,
        subject=refusal.pk,
        people=people,
        facts=facts,
        unit=refusal.unit_id,
        urgent=True,
    )


def _keys(people: Iterable[Person], *, but: UUID) -> list[UUID]:
    return [person.pk for person in people if person.pk != but]
