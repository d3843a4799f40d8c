"""Recording an officer's inspection with all that follows from it, in one transaction."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from common.clock import day_in_zone, refuse_early, refuse_future
from common.errors import FieldProblem, Invalid, NotAllowed
from defects.enums import HoldKind, SightingHow
from defects.models import Defect, Hold, RoadsideInspection
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.services.defects.sightings import Sightings, store_catalogue
from defects.services.holds.by_person import notify_of_holds
from defects.services.roadside.faults import Noted, known_faults, note_fault
from defects.services.roadside.judging import judge_lines
from defects.services.roadside.report import OfficersReport
from defects.services.roadside.storing import store_holds, store_inspection, store_lines
from defects.signals import defects_reported
from defects.transitions import RECORD_ROADSIDE
from fleet.enums import NotificationKind, Role
from fleet.models import Notification, Person, Unit
from fleet.selectors.carrier.carrier import effective_policies
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


def notify_of_inspection(
    inspection: RoadsideInspection, holds: Iterable[Hold], *, units: Sequence[Unit], now: datetime
) -> list[Notification]:
    """Notify dispatch, foremen and compliance of each order, and compliance of the answer; nothing of a clean one."""
    if inspection.is_clean:
        return []
    orders = [hold for hold in holds if hold.kind == HoldKind.OFFICER]
    sites = {unit.pk: unit.home_site_id for unit in units}
    office, dispatch = RecipientGroup(Role.COMPLIANCE), RecipientGroup(Role.DISPATCH, on_call=True)
    shops = {site: RecipientGroup(Role.FOREMAN, site, on_call=True) for site in sites.values()}
    people = find_recipients([office, dispatch, *shops.values()], now=now)
    numbers = {unit.pk: str(unit) for unit in units}
    drafts = [
        _order(
            hold,
            numbers[hold.unit_id],
            inspection,
            [*people[dispatch], *people[shops[sites[hold.unit_id]]], *people[office]],
        )
        for hold in orders
    ]
    return create_notifications([*drafts, _answer(inspection, people, office)], now=now)


def _order(hold: Hold, unit: str, inspection: RoadsideInspection, people: Sequence[Person]) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.ORDER_BY_OFFICER,
        code="order_by_officer",
        subject=hold.pk,
        people=_keys(people),
        facts={
            "unit": unit,
            "hold": hold.number,
            "report_number": inspection.report_number,
            "officer": inspection.officer,
            "us_state": inspection.us_state,
            "what": hold.reason,
            "at": inspection.inspected_at,
        },
        unit=hold.unit_id,
        urgent=True,
    )


def _answer(
    inspection: RoadsideInspection, people: Mapping[RecipientGroup, Sequence[Person]], office: RecipientGroup
) -> NotificationDraft:
    return NotificationDraft(
        kind=NotificationKind.ROADSIDE_ANSWER_DUE,
        code="roadside_answer_due",
        subject=inspection.pk,
        people=_keys(people[office]),
        facts={"report_number": inspection.report_number, "due_on": inspection.answer_due_on},
        step="recorded",
    )


def _keys(people: Iterable[Person]) -> list[UUID]:
    return list(dict.fromkeys(person.pk for person in people))


STATE = re.compile(r"[A-Z]{2}")
"""Where it was: a State, or a province of a neighbour."""

ANSWERED_WITHIN = timedelta(days=15)
"""396.9(d)(3): within 15 days following the date of the inspection."""


def record_roadside_inspection(*, report: OfficersReport, actor: Person, now: datetime) -> RoadsideInspection:
    """Record an officer's inspection, its orders and its defects with their repair orders, and tell who must know.

    An order stands on the units with an out-of-service violation alone; what else came along gets its own answer. A
    clean inspection needs no answer and is never a periodic inspection. Invalid `instant_in_future`, `state_malformed`,
    `violation_unit_not_named`, `violation_refused`; NotAllowed `role_not_allowed`.
    """
    if RECORD_ROADSIDE.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="record_roadside_inspection", roles=sorted(RECORD_ROADSIDE))
    refuse_future(report.inspected_at, now, "/inspected_at")
    for unit in report.units:
        refuse_early(report.inspected_at, unit.known_from, "/inspected_at")
    if not STATE.fullmatch(report.us_state):
        raise Invalid("state_malformed", pointer="/us_state")
    _refuse_strangers(report)
    with unit_of_work([unit.pk for unit in report.units], actor=actor, now=now) as work:
        effective = effective_policies(now=now)
        catalogue = catalogue_in_force(effective.policies)
        day = day_in_zone(report.inspected_at, effective.zone)
        verdicts = judge_lines(report.violations, catalogue, day, at=report.inspected_at)
        store_catalogue(catalogue, now=now)
        due = day + ANSWERED_WITHIN if report.violations else None
        inspection = store_inspection(report, answer_due_on=due, actor=actor, now=now)
        known = known_faults(report.violations, report.inspected_at)
        sightings = Sightings(work, at=report.inspected_at, catalogue=catalogue.content_hash, roadside=inspection)
        noted = [
            note_fault(line, verdict, known, sightings, inspection)
            for line, verdict in zip(report.violations, verdicts, strict=True)
        ]
        _record(work, report, inspection)
        sightings.save(said={"report_number": report.report_number})
        store_lines(noted, inspection)
        holds = store_holds(work, noted, inspection, catalogue)
        defects = _to_repair(noted)
        if defects:
            defects_reported.send(RoadsideInspection, defects=defects, work=work)
        own = [hold for hold in holds if hold.kind == HoldKind.CARRIER]
        notify_of_holds(own, units=report.units, catalogue=catalogue, site=None, now=now)
        notify_of_inspection(inspection, holds, units=report.units, now=now)
        return inspection


def _refuse_strangers(report: OfficersReport) -> None:
    named = {unit.pk for unit in report.units}
    problems = [
        FieldProblem(f"/violations/{index}/unit", "violation_unit_not_named")
        for index, line in enumerate(report.violations)
        if line.unit.pk not in named
    ]
    if problems:
        raise Invalid("violation_unit_not_named", problems=problems)


def _to_repair(noted: Iterable[Noted]) -> list[Defect]:
    """Every defect that is to be repaired, once."""
    return list({item.defect.pk: item.defect for item in noted if item.how != SightingHow.LATE}.values())


def _record(work: UnitOfWork, report: OfficersReport, inspection: RoadsideInspection) -> None:
    for unit in report.units:
        lines = [line for line in report.violations if line.unit.pk == unit.pk]
        work.record(
            unit.pk,
            "roadside_inspected",
            subject=inspection.pk,
            performed_at=report.inspected_at,
            body={
                "report_number": report.report_number,
                "officer": report.officer,
                "us_state": report.us_state,
                "level": report.level,
                "violations": len(lines),
                "out_of_service": any(line.out_of_service for line in lines),
            },
        )
