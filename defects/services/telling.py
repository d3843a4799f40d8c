"""Who is told of what bars a unit, at once: rows owed in the same transaction, brought by the sweep."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.utils import translation
from django.utils.translation import gettext

from defects.models import Hold
from defects.rules.catalogue import Catalogue
from defects.selectors.words import fault_of_defect, where_of_defect
from fleet.enums import NoticeKind, Role
from fleet.models import Notice, Site, Unit
from fleet.services.notices import Audience, NoticeDraft, by_language, owe_notices, people_to_tell


def tell_of_holds(
    holds: Sequence[Hold], *, units: Iterable[Unit], catalogue: Catalogue, site: Site | None, now: datetime
) -> list[Notice]:
    """Owe the foreman and dispatch word of each new hold; nothing is read when there is none."""
    if not holds:
        return []
    numbers = {unit.pk: unit for unit in units}
    audiences = [
        Audience(Role.FOREMAN, None if site is None else site.pk, on_call=True),
        Audience(Role.DISPATCH, on_call=True),
    ]
    people = {person.pk: person for told in people_to_tell(audiences, now=now).values() for person in told}
    drafts = [
        NoticeDraft(
            kind=NoticeKind.HOLD_PLACED,
            code="hold_placed",
            subject=hold.pk,
            people=keys,
            facts={
                "unit": str(numbers[hold.unit_id]),
                "hold": hold.number,
                **_why(hold, catalogue, language),
                "reported_by": hold.placed_by.name,
                "at": hold.placed_at,
            },
            unit=hold.unit_id,
            urgent=True,
        )
        for hold in holds
        for language, keys in by_language(people.values()).items()
    ]
    return owe_notices(drafts, now=now)


def _why(hold: Hold, catalogue: Catalogue, language: str) -> dict[str, str]:
    """What and where: the fault, or the reason of whoever placed the hold."""
    with translation.override(language):
        whole = gettext("the whole unit")
    if hold.defect is None:
        return {"what": hold.reason, "where": whole}
    return {
        "what": fault_of_defect(hold.defect, catalogue, language),
        "where": where_of_defect(hold.defect, language) or whole,
    }
