"""The rows of a signed walk-around itself: signature, walk-around, reports and measured values. Decides nothing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from common.canonical import plain
from defects.models import Measurement, Report, Walkaround
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.body import (
    CheckBody,
    CorrectionBody,
    FaultBody,
    LookBody,
    MeterBody,
    ReportBody,
    Submission,
)
from defects.rules.walkarounds.looks import Looks
from defects.rules.walkarounds.timing import Timing
from defects.rules.walkarounds.verdicts import Verdict
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Person, Site, Unit
from fleet.services.people.signatures import sign

Queried = dict[str, object]
"""One thing a foreman must look at: `code`, `facts`, and `check` or `meter` (index) where it belongs to one."""

METER_OF_UNKNOWN = "meter_of_unknown_unit"
"""What is queried of a meter on a unit that nobody knows."""


@dataclass(frozen=True)
class Header:
    """What is known of a walk-around besides its reports."""

    id: UUID
    submission: Submission
    timing: Timing
    actor: Person
    team_mate: Person | None
    site: Site | None
    coupling: UUID | None
    catalogue: str
    queried: Sequence[Queried]
    now: datetime


def build_walkaround(header: Header) -> Walkaround:
    """The unsaved walk-around with the driver's unsaved signature over all that was handed in."""
    submission, timing, given = header.submission, header.timing, header.submission.signature
    body = submission.body
    signature = sign(
        purpose=SignaturePurpose.REPORT,
        signer=header.actor,
        token_owner=header.actor,
        shown=given.shown,
        content={"walkaround": header.id, "body": submission.body_hash},
        method=given.method or SignatureMethod.OTHER,
        device=given.device,
        signed_at=timing.signed_at,
        offset_minutes=timing.offset_minutes,
        now=header.now,
    )
    return Walkaround(
        id=header.id,
        kind=body.kind,
        person=header.actor,
        team_mate=header.team_mate,
        signature=signature,
        body_hash=submission.body_hash,
        catalogue_id=header.catalogue,
        site=header.site,
        coupling_id=header.coupling,
        started_at=timing.started_at,
        finished_at=timing.finished_at,
        performed_at=timing.performed_at,
        received_at=header.now,
        offset_minutes=timing.offset_minutes,
        skew_seconds=int(timing.skew.total_seconds()),
        conditions=plain(asdict(body.surroundings)),
        queried=list(header.queried),
    )


def build_report(
    walkaround: Walkaround,
    position: int,
    given: ReportBody,
    assessment: Assessment,
    looks: Looks,
    *,
    unit: Unit | None,
    queried: Sequence[Queried],
) -> Report:
    """The unsaved report of one unit, every check with its verdict beside it."""
    return Report(
        walkaround=walkaround,
        position=position,
        unit=unit,
        given_unit=given.unit,
        signature=walkaround.signature,
        checks=[_check(judged.given, judged.verdict) for judged in assessment.judged],
        faults=[fault.model_dump(exclude={"unread"}) for fault in given.faults],
        looked_at=[{"leg": look.leg, "at": look.spelled, "counts": counts} for look, counts in looks.legs],
        places_asked=looks.asked,
        places_covered=looks.covered,
        left_open=[asdict(row) for row in looks.left],
        queried=list(queried),
        review_owed=unit is not None and assessment.review_owed,
        performed_at=walkaround.performed_at,
    )


def measurements_of(assessed: Iterable[tuple[Report, Assessment]]) -> list[Measurement]:
    """The values that enter a series; a queried one stands on the report alone."""
    return [
        Measurement(
            unit_id=report.unit_id,
            point=judged.given.point,
            place=judged.given.place,
            value=judged.measured,
            unit_of_measure=judged.given.unit_of_measure,
            measured_at=report.performed_at,
            person=report.walkaround.person,
            report=report,
        )
        for report, assessment in assessed
        if report.unit_id is not None
        for judged in assessment.judged
        if judged.measured is not None
    ]


def _check(given: CheckBody, verdict: Verdict) -> dict[str, object]:
    """One check as stored, schema 1: what was given without what is empty, and what was judged."""
    stored: dict[str, object] = {"point": given.point, "answer": given.answer}
    for name in _TOLD:
        if value := getattr(given, name):
            stored[name] = value
    if given.correction is not None:
        done = given.correction
        told = {"corrected_what": done.what, "corrected_by": done.by, "corrected_photo": done.photo}
        stored |= {name: value for name, value in told.items() if value}
    judged: Mapping[str, object] = {
        "outcome": str(verdict.outcome),
        "rule": verdict.rule_id,
        "severity": None if verdict.severity is None else str(verdict.severity),
        "bars": str(verdict.bars),
        "finding": verdict.finding,
        "limit": verdict.limit_id,
        "limit_value": None if verdict.limit_value is None else str(verdict.limit_value),
        "source": None if verdict.source is None else str(verdict.source),
    }
    stored["verdict"] = {name: value for name, value in judged.items() if value is not None}
    return stored


_TOLD = ("place", "value", "unit_of_measure", "finding", "note", "reason", "listed", "photos")
"""What stands beside a stored answer where it was given."""


def given_of(report: Report) -> ReportBody:
    """What was given on a unit that nobody knows, out of the stored report; its meters stand in what is queried."""
    meters = (item["facts"] for item in report.queried if item["code"] == METER_OF_UNKNOWN)
    return ReportBody.model_construct(
        unit=report.given_unit,
        checks=[_given_check(check) for check in report.checks],
        faults=faults_given(report),
        meters=[MeterBody.model_construct(meter=meter["meter"], shown=meter["shown"]) for meter in meters],
        looked_at=[LookBody.model_construct(leg=look["leg"], at=look["at"]) for look in report.looked_at],
    )


def _given_check(check: Mapping[str, Any]) -> CheckBody:
    done = {name: check.get(f"corrected_{name}", "") for name in ("what", "by", "photo")}
    return CheckBody.model_construct(
        point=check["point"],
        answer=check["answer"],
        correction=CorrectionBody.model_construct(**done) if any(done.values()) else None,
        **{name: check[name] for name in _TOLD if name in check},
    )


def faults_given(report: Report) -> list[FaultBody]:
    """The faults that the driver told in own words, out of the stored report."""
    return [FaultBody.model_construct(**fault) for fault in report.faults]
