"""Who is told of what bars a unit, at once: rows owed in the same transaction, brought by the sweep."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from defects.models import Defect, Hold
from defects.rules.catalogue import Catalogue
from defects.selectors.words import what_of_defect
from fleet.enums import NoticeKind, Role
from fleet.models import Notice, Person, Site, Unit
from fleet.services.notices import Audience, NoticeDraft, by_language, owe_notices, people_to_tell


def tell_of_holds(
    holds: Sequence[Hold], *, units: Iterable[Unit], catalogue: Catalogue, site: Site | None, now: datetime
) -> list[Notice]:
    """Owe the foreman and dispatch word of each new hold; nothing is read when there is none."""
    return tell_of_bars(holds, (), units=units, catalogue=catalogue, site=site, now=now)


def tell_of_bars(
    holds: Sequence[Hold],
    to_grade: Sequence[Defect],
    *,
    units: Iterable[Unit],
    catalogue: Catalogue,
    site: Site | None,
    now: datetime,
) -> list[Notice]:
    """Owe the foreman and dispatch word of each new hold, and the foreman of each fault that bars until it is graded.

    In as many statements for both as for one; nothing is read when there is neither.
    """
    if not holds and not to_grade:
        return []
    numbers = {unit.pk: str(unit) for unit in units}
    foremen = Audience(Role.FOREMAN, None if site is None else site.pk, on_call=True)
    dispatch = Audience(Role.DISPATCH, on_call=True)
    told = people_to_tell([foremen, dispatch] if holds else [foremen], now=now)
    everybody = {person.pk: person for people in told.values() for person in people}
    drafts = [
        NoticeDraft(
            kind=NoticeKind.HOLD_PLACED,
            code="hold_placed",
            subject=hold.pk,
            people=keys,
            facts={
                "unit": numbers[hold.unit_id],
                "hold": hold.number,
                "what": hold.reason if hold.defect is None else what_of_defect(hold.defect, catalogue, language),
                "reported_by": hold.placed_by.name,
                "at": hold.placed_at,
            },
            unit=hold.unit_id,
            urgent=True,
        )
        for hold in holds
        for language, keys in by_language(everybody.values()).items()
    ]
    return owe_notices([*drafts, *(_to_grade(defect, numbers, told[foremen]) for defect in to_grade)], now=now)


def _to_grade(defect: Defect, numbers: Mapping[UUID, str], foremen: Iterable[Person]) -> NoticeDraft:
    """A fault in the driver's own words, which are the same in every language."""
    return NoticeDraft(
        kind=NoticeKind.FAULT_TO_GRADE,
        code="fault_to_grade",
        subject=defect.pk,
        people=[person.pk for person in foremen],
        facts={
            "unit": numbers[defect.unit_id],
            "what": defect.text,
            "reported_by": defect.found_by.name,
            "at": defect.found_at,
        },
        unit=defect.unit_id,
        urgent=True,
    )
