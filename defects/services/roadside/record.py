"""Recording an officer's inspection with all that follows from it, in one transaction."""

import re
from collections.abc import Iterable
from datetime import datetime, timedelta

from common.clock import day_in_zone, refuse_future
from common.errors import FieldProblem, Invalid, NotAllowed
from defects.enums import HoldKind, SightingHow
from defects.models import Defect, RoadsideInspection
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.services.defects.findings import Findings, keep_catalogue
from defects.services.holds.placing import notify_of_holds
from defects.services.roadside.faults import Noted, known_faults, note_fault
from defects.services.roadside.judging import judge_lines
from defects.services.roadside.notifications import notify_of_inspection
from defects.services.roadside.report import OfficersReport
from defects.services.roadside.storing import store_holds, store_inspection, store_lines
from defects.signals import defects_reported
from defects.transitions import RECORD_ROADSIDE
from fleet.models import Person
from fleet.selectors.carrier.carrier import effective_policies
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work

STATE = re.compile(r"[A-Z]{2}")
"""Where it was: a State, or a province of a neighbour."""

ANSWERED_WITHIN = timedelta(days=15)
"""396.9(d)(3): within 15 days following the date of the inspection."""


def record_roadside_inspection(*, report: OfficersReport, actor: Person, now: datetime) -> RoadsideInspection:
    """Record an officer's inspection, its orders and its defects with their repair orders, and tell who must know.

    An order stands on the units with an out-of-service violation alone; what else came along gets its own answer. A
    clean inspection owes no answer and is never a periodic inspection. Invalid `instant_in_future`, `state_malformed`,
    `violation_unit_not_named`, `violation_refused`; NotAllowed `role_not_allowed`.
    """
    if RECORD_ROADSIDE.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="record_roadside_inspection", roles=sorted(RECORD_ROADSIDE))
    refuse_future(report.inspected_at, now, "/inspected_at")
    if not STATE.fullmatch(report.state):
        raise Invalid("state_malformed", pointer="/state")
    _refuse_strangers(report)
    with unit_of_work([unit.pk for unit in report.units], actor=actor, now=now) as work:
        effective = effective_policies(now=now)
        catalogue = catalogue_in_force(effective.policies)
        day = day_in_zone(report.inspected_at, effective.zone)
        verdicts = judge_lines(report.violations, catalogue, day)
        keep_catalogue(catalogue, now=now)
        due = day + ANSWERED_WITHIN if report.violations else None
        inspection = store_inspection(report, answer_due_on=due, actor=actor, now=now)
        known = known_faults(report.violations, report.inspected_at)
        findings = Findings(work, at=report.inspected_at, catalogue=catalogue.content_hash, roadside=inspection)
        noted = [
            note_fault(line, verdict, known, findings, inspection)
            for line, verdict in zip(report.violations, verdicts, strict=True)
        ]
        _record(work, report, inspection)
        findings.save(said={"report_number": report.report_number})
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
                "state": report.state,
                "level": report.level,
                "violations": len(lines),
                "out_of_service": any(line.out_of_service for line in lines),
            },
        )
