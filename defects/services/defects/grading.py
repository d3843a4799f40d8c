"""The foreman's grades: the first one of a fault told in free text, and a later change of any defect's."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, FieldProblem, Invalid
from defects.enums import Authority, Bars, CheckAnswer, Listing, Outcome, Severity, bars_rank, go_together, is_worse
from defects.models import Defect
from defects.rules.catalogue.observed import Conditions
from defects.rules.certificates import GradedFinding, may_be_graded
from defects.rules.defects.judgement import COLUMNS, Judgement, judgement_of, judgement_of_verdict
from defects.rules.walkarounds.body import CheckBody, FaultBody
from defects.rules.walkarounds.judge import judge_check
from defects.rules.walkarounds.verdicts import Circumstances, FlagCode, Verdict, qualified
from defects.selectors.catalogue.catalogue import facts_of_units
from defects.selectors.defects.naming import faults_named
from defects.services.defects.evidence import measured_since
from defects.services.defects.locked import (
    catalogue_of,
    locked_defect,
    on_active_order,
    put_load_at_risk,
    record_defect,
    refuse_second_open_fault,
)
from defects.services.defects.remeasured import within_limits
from defects.services.defects.sightings import end_deferral, set_judgement
from defects.services.holds.by_person import hold_if_grave
from defects.signals import defects_reported
from defects.transitions import DEFECTS
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork


@dataclass(frozen=True)
class Grade:
    """How bad it is and what it bars; the two must go together."""

    severity: Severity
    bars: Bars


@dataclass(frozen=True)
class Described:
    """What a fault told in free text is after all: a point of the catalogue, where, and which of its conditions."""

    point: str = ""
    place: str = ""
    finding: str = ""


def grade(
    *,
    defect_id: UUID,
    version: int | None,
    new_grade: Grade,
    authority: Authority,
    described: Described,
    reason: str,
    actor: Person,
    now: datetime,
) -> Defect:
    """Grade a fault told in free text, which barred its unit until now; a point given with it gives its rule too.

    What the driver called unsafe stays listed and needs its certificate: a grade alone frees no unit.

    Conflict `graded_already`, `fault_already_open`, `below_regulation`; Invalid `severity_and_bars_do_not_match`,
    `description_refused` for a point, place or condition that the unit has not.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        work.move(DEFECTS, defect, "grade", {"severity", "bars", "authority"})
        _refuse_pair(new_grade)
        if defect.graded:
            raise Conflict("graded_already", defect=defect.number, faults=faults_named([defect]))
        if described.point:
            known = _describe(work, defect, described, new_grade)
        else:
            by_foreman = Listing.FOREMAN if authority == Authority.STATUTORY else Listing.NOTED
            listing = Listing.DRIVER if _called_unsafe(defect) else by_foreman
            known = replace(judgement_of(defect), authority=str(authority), listing=str(listing))
        record_defect(
            work, defect, "defect_graded", {"severity": new_grade.severity, "bars": new_grade.bars, "reason": reason}
        )
        _set(work, defect, replace(known, graded=True), new_grade, reason)
        work.save(defect, "state", "point", "place", *COLUMNS)
        put_load_at_risk(work, defect)
        _announce(work, defect)
        return defect


def regrade(
    *, defect_id: UUID, version: int | None, new_grade: Grade, reason: str, actor: Person, now: datetime
) -> Defect:
    """Raise a defect freely, with the hold that belongs to it, or lower it within the rule.

    Conflict `below_regulation` for a grade below a regulation's without a new measurement within its limit,
    `defect_not_graded`, `on_officers_order`; Invalid `severity_and_bars_do_not_match`.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        work.move(DEFECTS, defect, "regrade", {"severity", "bars", *(("reason",) if reason.strip() else ())})
        _refuse_pair(new_grade)
        if not defect.graded:
            raise Conflict("defect_not_graded", defect=defect.number, faults=faults_named([defect]))
        raised = is_worse(new_grade.severity, defect.severity) or bars_rank(new_grade.bars) > bars_rank(defect.bars)
        if raised:
            end_deferral(defect)
        elif on_active_order(defect):
            raise Conflict("on_officers_order", defect=defect.number, faults=faults_named([defect]))
        finding = GradedFinding(defect.severity, defect.bars, defect.regulation_severity)
        if not may_be_graded(
            finding, new_grade.severity, new_grade.bars, measured_within=_measured_within(work, defect)
        ):
            raise Conflict(
                "below_regulation", regulation=defect.regulation_severity, rule=defect.rule, source=defect.source
            )
        newly_barred = new_grade.bars != defect.bars
        record_defect(
            work,
            defect,
            "defect_regraded",
            {"from": defect.severity, "severity": new_grade.severity, "bars": new_grade.bars, "reason": reason},
        )
        _set(work, defect, judgement_of(defect), new_grade, reason)
        work.save(defect, "state", "current_certificate", *COLUMNS)
        if newly_barred:
            put_load_at_risk(work, defect)
        if raised:
            _announce(work, defect)
        return defect


def _called_unsafe(defect: Defect) -> bool:
    """Whether the driver who wrote it down called it unsafe: then it needs its certificate, however it is graded."""
    if defect.report is None:
        return False
    faults = (FaultBody.model_construct(**fault) for fault in defect.report.faults)
    return any(fault.words == defect.text and fault.unsafe for fault in faults)


def _set(work: UnitOfWork, defect: Defect, known: Judgement, new_grade: Grade, reason: str) -> None:
    """Give the grade; what keeps the unit from being used is listed, and what is only watched is not."""
    listing = known.listing
    if new_grade.bars == Bars.MOVEMENT and listing == Listing.NOTED:
        listing = str(Listing.SAFETY)
    elif new_grade.severity == Severity.WATCH and listing != Listing.DRIVER:
        listing = str(Listing.NOTED)
    set_judgement(defect, replace(known, severity=str(new_grade.severity), bars=str(new_grade.bars), listing=listing))
    hold_if_grave(work, defect, reason)


def _announce(work: UnitOfWork, defect: Defect) -> None:
    """Whatever is more than a watch belongs on the unit's repair order."""
    if defect.severity != Severity.WATCH:
        defects_reported.send(Defect, defects=[defect], work=work)


def _refuse_pair(new_grade: Grade) -> None:
    if not go_together(Severity(new_grade.severity), Bars(new_grade.bars)):
        raise Invalid(
            "severity_and_bars_do_not_match", pointer="/bars", severity=new_grade.severity, bars=new_grade.bars
        )


def _measured_within(work: UnitOfWork, defect: Defect) -> bool:
    """Whether the newest value since the defect was found lies within the limits."""
    newest = measured_since(defect)
    return newest is not None and within_limits(work, defect, newest)


def _describe(work: UnitOfWork, defect: Defect, described: Described, new_grade: Grade) -> Judgement:
    """Take the fault for a condition of a point: its rule, its source, and the grade below which it may not go."""
    refuse_second_open_fault(defect, described.point, described.place)
    verdict = _verdict(work, defect, described)
    authority = catalogue_of(work).points[described.point].authority
    found = judgement_of_verdict(verdict, authority=authority, listing=verdict.listing, value=None, unit_of_measure="")
    finding = GradedFinding(found.severity, found.bars, found.regulation_severity)
    if not may_be_graded(finding, new_grade.severity, new_grade.bars, measured_within=False):
        raise Conflict(
            "below_regulation",
            regulation=found.regulation_severity,
            rule=found.rule,
            source=found.source or defect.source,
        )
    defect.point, defect.place = described.point, described.place
    return found


def _verdict(work: UnitOfWork, defect: Defect, described: Described) -> Verdict:
    """The condition as the catalogue judges it on this unit; Invalid `description_refused` where it does not fit."""
    check = CheckBody.model_construct(
        point=described.point, answer=CheckAnswer.DEFECT, place=described.place, finding=described.finding
    )
    under = Circumstances((catalogue_of(work),), Conditions(), work.day(work.now), qualified)
    verdict = judge_check(check, facts_of_units([defect.unit_id], at=work.now)[defect.unit_id], under)
    codes = {flag.code for flag in verdict.flags}
    wrong = codes & _WRONG.keys()
    if wrong or verdict.outcome is not Outcome.FINDING:
        problems = [FieldProblem(_WRONG.get(code, "/point"), f"flag_{code}", _facts(verdict, code)) for code in wrong]
        raise Invalid("description_refused", problems=problems)
    return verdict


_WRONG = {
    FlagCode.POINT_UNKNOWN: "/point",
    FlagCode.POINT_RETIRED: "/point",
    FlagCode.POINT_NOT_FOR_UNIT_KIND: "/point",
    FlagCode.PLACE_MISSING: "/place",
    FlagCode.PLACE_UNKNOWN: "/place",
    FlagCode.FINDING_UNKNOWN: "/finding",
}


def _facts(verdict: Verdict, code: FlagCode) -> Mapping[str, object]:
    return next(dict(flag.facts) for flag in verdict.flags if flag.code is code)
