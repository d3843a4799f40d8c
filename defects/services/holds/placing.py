"""Placing holds, and who is told of them. Lifting one is another act."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from defects.enums import HoldKind, Severity, WalkaroundKind
from defects.models import Defect, Hold, Report, RoadsideInspection, Walkaround, WorkInProgress
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.closed_sets import Language
from defects.rules.walkarounds.assess import Assessment
from defects.selectors.defects.naming import names_of_defect, what_of_defect, what_of_fault, what_of_hold
from defects.selectors.loads.loads import units_with_a_trip
from fleet.enums import NotificationKind, Role, UnitKind
from fleet.models import Notification, Person, Site, Unit
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)
from fleet.services.records.unit_of_work import UnitOfWork


def holds_of_grave(
    work: UnitOfWork, defects: Iterable[Defect], active: Collection[Hold], *, at: datetime
) -> list[Hold]:
    """The carrier's hold, unsaved, for each defect that says do not move, unless one of `active` holds for it."""
    held = {hold.defect_id for hold in active}
    grave = {defect.pk: defect for defect in defects if defect.severity == Severity.DO_NOT_MOVE}
    return [
        new_hold(work, HoldKind.CARRIER, defect.unit_id, defect=defect, at=at)
        for key, defect in grave.items()
        if key not in held
    ]


def new_hold(
    work: UnitOfWork,
    kind: HoldKind,
    unit_id: UUID,
    *,
    defect: Defect | None = None,
    roadside: RoadsideInspection | None = None,
    at: datetime | None = None,
    reason: str = "",
) -> Hold:
    """A hold, unsaved, placed by the actor now where `at` says nothing else. Without a reason the defect's name is."""
    return Hold(
        unit_id=unit_id,
        kind=kind,
        defect=defect,
        roadside=roadside,
        reason=reason or ("" if defect is None else names_of_defect(defect)[Language.ENGLISH]),
        placed_at=at or work.now,
        placed_by=work.actor,
        recorded_at=work.now,
    )


def place_holds(work: UnitOfWork, holds: Sequence[Hold]) -> list[Hold]:
    """Store holds and note them in their units' histories, where the name of a defect is kept in every language."""
    if not holds:
        return []
    placed = Hold.objects.bulk_create(holds)
    for hold in placed:
        names = {} if hold.defect is None else names_of_defect(hold.defect)
        is_name = hold.reason in names.values()
        work.record(
            hold.unit_id,
            "hold_placed",
            subject=hold.pk,
            performed_at=hold.placed_at,
            body={
                "hold": hold.number,
                "kind": hold.kind,
                "defect": hold.defect_id,
                "reason": names if is_name else hold.reason,
                **({"fault": names} if names and not is_name else {}),
            },
        )
    return placed


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
    """Notify the foreman and dispatch of each new hold, and the foreman of what else bars, newly found or raised.

    Of `faults`, those that bar until they are graded, and those before next use that no hold is told of: at once where
    the unit has a trip ahead, else with the summary. Nothing is read when there is nothing to tell.
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
    recipients = find_recipients([foremen, every_foreman, dispatch], now=now)
    everybody = {person.pk: person for person in [*recipients[foremen], *recipients[dispatch]]}
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
    drafts += [_to_grade(defect, numbers, recipients[foremen]) for defect in to_grade]
    drafts += [
        _before_use(fault, numbers, keys, what_of_defect(fault, catalogue, language), urgent=fault.unit_id in leaving)
        for fault in before_use
        for language, keys in by_language(recipients[foremen if fault.unit_id in leaving else every_foreman]).items()
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
    """Notify the foremen and dispatch of every fault on a unit that nobody knows; nothing is read for none."""
    faulty = [(report, assessment) for report, assessment in reported if report.unit_id is None and assessment.reported]
    if not faulty:
        return []
    foremen = RecipientGroup(Role.FOREMAN, None if site is None else site.pk, on_call=True)
    dispatch = RecipientGroup(Role.DISPATCH, on_call=True)
    recipients = find_recipients([foremen, dispatch], now=now)
    everybody = {person.pk: person for people in recipients.values() for person in people}
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


ON_THE_ROAD = frozenset({WalkaroundKind.EN_ROUTE, WalkaroundKind.POST_TRIP})
"""The walk-arounds of units that are on a trip, or come from one."""


def notify_of_barred_on_road(
    walkaround: Walkaround,
    reports: Iterable[Report],
    holds: Iterable[Hold],
    work: Iterable[WorkInProgress],
    *,
    catalogue: Catalogue,
    now: datetime,
) -> list[Notification]:
    """Notify the foreman and dispatch of each unit that was on a trip though held, or though the shop worked on it.

    `holds` and `work` are those that the walk-around met; `reports` are not those of units whose limited move is
    permitted. What began after it and a cooling unit's work tell nobody; nothing is read when there is nothing to tell.
    """
    if walkaround.kind not in ON_THE_ROAD:
        return []
    at = walkaround.performed_at
    begun: dict[UUID, Hold | WorkInProgress] = {item.unit_id: item for item in work if item.since <= at}
    begun |= {hold.unit_id: hold for hold in holds if hold.placed_at <= at}
    barred = {
        report: begun[report.unit_id]
        for report in reports
        if report.unit is not None
        and report.unit_id in begun
        and (report.unit.kind != UnitKind.COOLING_UNIT or isinstance(begun[report.unit_id], Hold))
    }
    if not barred:
        return []
    foremen = RecipientGroup(Role.FOREMAN, walkaround.site_id, on_call=True)
    dispatch = RecipientGroup(Role.DISPATCH, on_call=True)
    recipients = find_recipients([foremen, dispatch], now=now)
    everybody = {person.pk: person for people in recipients.values() for person in people}
    drafts = [
        _on_road(report, bar, keys, catalogue, language)
        for report, bar in barred.items()
        for language, keys in by_language(everybody.values()).items()
    ]
    return create_notifications(drafts, now=now, caused_by=walkaround.pk)


def _on_road(
    report: Report, bar: Hold | WorkInProgress, people: list[UUID], catalogue: Catalogue, language: str
) -> NotificationDraft:
    reporter = report.walkaround.person.name
    facts: dict[str, object] = {"unit": str(report.unit), "reported_by": reporter, "at": report.performed_at}
    if isinstance(bar, Hold):
        facts |= {"hold": bar.number, "what": what_of_hold(bar, catalogue, language)}
    else:
        facts |= {"order": bar.order_number, "what": bar.what}
    return NotificationDraft(
        kind=NotificationKind.BARRED_UNIT_ON_ROAD,
        code="held_unit_on_road" if isinstance(bar, Hold) else "unit_in_shop_on_road",
        subject=report.pk,
        people=people,
        facts=facts,
        unit=report.unit_id,
        urgent=True,
    )


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
        facts={"unit": numbers[fault.unit_id], "what": what, "reported_by": fault.found_by.name, "at": fault.found_at},
        unit=fault.unit_id,
        urgent=urgent,
    )


def active_holds(defects: Iterable[Defect]) -> list[Hold]:
    """The carrier's holds that stand for these defects, in one statement; none for no defect."""
    keys = [defect.pk for defect in defects]
    if not keys:
        return []
    active = Hold.objects.filter(defect__in=keys, kind=HoldKind.CARRIER, lifted_at__isnull=True)
    return list(active.order_by("number"))
