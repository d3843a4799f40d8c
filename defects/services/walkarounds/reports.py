"""The rows of reports: how a judged report is stored, and what was given, read back out of one. Decides nothing."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from defects.models import Report
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.body import CheckBody, CorrectionBody, FaultBody, LookBody, MeterBody, ReportBody
from defects.rules.walkarounds.looks import Looks
from defects.rules.walkarounds.verdicts import Verdict

Flagged = dict[str, object]
"""One thing a foreman must look at: `code`, `facts`, and `check` or `meter` (index) where it belongs to one."""

METER_OF_UNKNOWN = "meter_of_unknown_unit"
"""What is flagged of a meter on a unit that nobody knows."""


def set_judged(report: Report, assessment: Assessment, looks: Looks) -> None:
    """Fill an unsaved report with how it was judged, every check with its verdict beside it."""
    report.checks = [_check(judged.given, judged.verdict) for judged in assessment.judged]
    report.looked_at = [{"leg": look.leg, "at": look.spelled, "counts": counts} for look, counts in looks.legs]
    report.places_asked, report.places_covered = looks.asked, looks.covered
    report.left_open = [asdict(row) for row in looks.left]
    report.review_owed = report.unit is not None and assessment.review_owed


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
    """What was given on a unit that nobody knows, out of the stored report; its meters stand in what is flagged."""
    meters = (item["facts"] for item in report.queried if item["code"] == METER_OF_UNKNOWN)
    return ReportBody.model_construct(
        unit=report.given_unit,
        checks=[_given_check(check) for check in report.checks],
        faults=[FaultBody.model_construct(**fault) for fault in report.faults],
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
