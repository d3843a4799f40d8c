"""Who is told that a hold was lifted by a foreman of another site. Decides nothing about the lift."""

from datetime import datetime

from defects.models import Hold
from defects.selectors.defects.naming import language_of, names_of_hold
from fleet.enums import NotificationKind, Role
from fleet.models import Notification
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)


def notify_of_lift_elsewhere(hold: Hold, *, now: datetime) -> list[Notification]:
    """Owe the foremen of the unit's home site word of a lift by one who is no foreman there, at once.

    Nothing is read for a foreman of the site, or where the unit has no home site.
    """
    site, lifter = hold.unit.home_site_id, hold.lifted_by
    if site is None or lifter is None or Role.FOREMAN in lifter.roles_at(site):
        return []
    shop = RecipientGroup(Role.FOREMAN, site)
    people = [person for person in find_recipients([shop], now=now)[shop] if person.pk != lifter.pk]
    names = names_of_hold(hold)
    drafts = [
        NotificationDraft(
            kind=NotificationKind.HOLD_LIFTED,
            code="hold_lifted_elsewhere",
            subject=hold.pk,
            people=keys,
            facts={
                "unit": str(hold.unit),
                "hold": hold.number,
                "what": names[language_of(language)],
                "lifted_by": lifter.name,
                "at": hold.lifted_at,
            },
            unit=hold.unit_id,
            urgent=True,
        )
        for language, keys in by_language(people).items()
    ]
    return create_notifications(drafts, now=now)
