"""Who is told of what bars a unit, at once: rows owed in the same transaction, brought by the job."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from defects.enums import Severity
from defects.models import Defect, Hold, Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.walkarounds.assess import Assessment
from defects.selectors.defects.naming import what_of_defect, what_of_fault, what_of_hold
from defects.selectors.loads.loads import units_with_a_trip
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person, Site, Unit
from fleet.services.notifications.create import NotificationDraft, create_notifications
from fleet.services.notifications.recipients import RecipientGroup, by_language, find_recipients


def notify_of_holds(
    holds: Sequence[Hold], *, units: Iterable[Unit], catalogue: Catalogue, site: Site | None, now: datetime
) -> list[Notification]:
    """Owe the foreman and dispatch word of each new hold; nothing is read when there is none."""
    return notify_of_bars(holds, (), units=units, catalogue=catalogue, site=site, now=now)


def notify_of_bars(
    holds: Sequence[Hold],
    faults: Sequence[Defect],
    *,
    units: Iterable[Unit],
    catalogue: Catalogue,
    site: Site | None,
    now: datetime,
    caused_by: UUID | None = None,
) -> list[Notification]:
    """Owe the foreman and dispatch word of each new hold, and the foreman of what else bars, newly found or raised.

    Of `faults`, those that bar until they are graded, and those before next use that no hold is told of: at once where
    the unit has a trip ahead, else with the digest. Nothing is read when there is nothing to tell.
    """
    to_grade = [fault for fault in faults if not fault.graded]
    before_use = [fault for fault in faults if fault.graded and fault.severity == Severity.BEFORE_NEXT_USE]
    if not (holds or to_grade or before_use):
        return []
    numbers = {unit.pk: str(unit) for unit in units}
    foremen = RecipientGroup(Role.FOREMAN, None if site is None else site.pk, on_call=True)
    dispatch = RecipientGroup(Role.DISPATCH, on_call=True)
    every_foreman = RecipientGroup(Role.FOREMAN, foremen.site)
    leaving = units_with_a_trip([fault.unit_id for fault in before_use], now=now)
    told = find_recipients([foremen, every_foreman, dispatch], now=now)
    everybody = {person.pk: person for person in [*told[foremen], *told[dispatch]]}
    drafts = [
        NotificationDraft(
            kind=NotificationKind.HOLD_PLACED,
            code="hold_placed",
            subject=hold.pk,
            people=keys,
            facts={
                "unit": numbers[hold.unit_id],
                "hold": hold.number,
                "what": what_of_hold(hold, catalogue, language),
                "reported_by": hold.placed_by.name,
                "at": hold.placed_at,
            },
            unit=hold.unit_id,
            urgent=True,
        )
        for hold in holds
        for language, keys in by_language(everybody.values()).items()
    ]
    drafts += [_to_grade(defect, numbers, told[foremen]) for defect in to_grade]
    drafts += [
        _before_use(fault, numbers, keys, what_of_defect(fault, catalogue, language), urgent=fault.unit_id in leaving)
        for fault in before_use
        for language, keys in by_language(told[foremen if fault.unit_id in leaving else every_foreman]).items()
    ]
    return create_notifications(drafts, now=now, caused_by=caused_by)


def notify_of_unknown_units(
    reported: Sequence[tuple[Report, Assessment]],
    *,
    catalogue: Catalogue,
    site: Site | None,
    reporter: Person,
    now: datetime,
    caused_by: UUID,
) -> list[Notification]:
    """Owe the foremen and dispatch word of every fault on a unit that nobody knows; nothing is read for none."""
    faulty = [(report, assessment) for report, assessment in reported if report.unit_id is None and assessment.reported]
    if not faulty:
        return []
    foremen = RecipientGroup(Role.FOREMAN, None if site is None else site.pk, on_call=True)
    dispatch = RecipientGroup(Role.DISPATCH, on_call=True)
    told = find_recipients([foremen, dispatch], now=now)
    everybody = {person.pk: person for people in told.values() for person in people}
    drafts = [
        NotificationDraft(
            kind=NotificationKind.UNIT_UNKNOWN,
            code="fault_on_unknown_unit",
            subject=report.pk,
            people=keys,
            facts={
                "unit": report.given_unit,
                "what": [what_of_fault(fault, catalogue, language) for fault in assessment.reported],
                "reported_by": reporter.name,
                "at": report.performed_at,
            },
            urgent=True,
        )
        for report, assessment in faulty
        for language, keys in by_language(everybody.values()).items()
    ]
    return create_notifications(drafts, now=now, caused_by=caused_by)


def _to_grade(defect: Defect, numbers: Mapping[UUID, str], foremen: Iterable[Person]) -> NotificationDraft:
    """A fault in the driver's own words, which are the same in every language."""
    return NotificationDraft(
        kind=NotificationKind.FAULT_TO_GRADE,
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


def _before_use(
    fault: Defect, numbers: Mapping[UUID, str], people: list[UUID], what: str, *, urgent: bool
) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.FAULT_BEFORE_USE,
        code="fault_before_use",
        subject=fault.pk,
        people=people,
        facts={
            "unit": numbers[fault.unit_id],
            "what": what,
            "reported_by": fault.found_by.name,
            "at": fault.found_at,
        },
        unit=fault.unit_id,
        urgent=urgent,
    )
