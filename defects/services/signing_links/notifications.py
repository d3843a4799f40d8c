"""Who is told that a repair rests on the word of a firm that nobody else has confirmed. Decides nothing."""

from collections.abc import Sequence
from datetime import datetime

from defects.models import Certificate
from defects.selectors.defects.naming import language_of, names_of_defect
from defects.selectors.signing_links import firm_to_confirm
from fleet.enums import NotificationKind, Role
from fleet.models import Notification
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)


def notify_of_firm(certificates: Sequence[Certificate], *, now: datetime) -> list[Notification]:
    """Owe the foremen of the unit's site, on call too, word of each certificate whose firm is to be confirmed.

    Never whoever made the link: another confirms.
    """
    drafts = []
    for certificate in certificates:
        defect, link = certificate.defect, certificate.link
        if link is None or not firm_to_confirm(defect):
            continue
        shop = RecipientGroup(Role.FOREMAN, defect.unit.home_site_id, on_call=True)
        people = [person for person in find_recipients([shop], now=now)[shop] if person.pk != link.made_by_id]
        facts = {
            "unit": str(defect.unit),
            "firm": certificate.firm,
            "signer": certificate.signature.signer.name,
            "defect": defect.number,
        }
        names = names_of_defect(defect)
        drafts += [
            NotificationDraft(
                kind=NotificationKind.FIRM_TO_CONFIRM,
                code="firm_to_confirm",
                subject=certificate.pk,
                people=keys,
                facts={**facts, "what": names[language_of(language)]},
                unit=defect.unit_id,
                urgent=True,
            )
            for language, keys in by_language(people).items()
        ]
    return create_notifications(drafts, now=now)
