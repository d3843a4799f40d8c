"""Filling a report's answer in plain words of a person's language. Judges nothing: verdicts are as they were stored."""

from collections.abc import Mapping
from typing import Any

from defects.api.defects.words import Body, person_body, unit_body
from defects.api.walkarounds.receipts import looks_body
from defects.enums import Outcome
from defects.models import Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.places import describe
from defects.selectors.reports import ReportPage, review_state
from defects.selectors.words import language_of, query_words, what_of_defect


def report_body(report: Report) -> Body:
    """One report as a list shows it."""
    walkaround = report.walkaround
    found = sum(check["verdict"]["outcome"] == Outcome.FINDING for check in report.checks)
    return {
        "id": report.pk,
        "walkaround": walkaround.pk,
        "kind": walkaround.kind,
        "unit": None if report.unit is None else unit_body(report.unit),
        "given_unit": report.given_unit,
        "unit_assigned_by": None if report.unit_assigned_by is None else person_body(report.unit_assigned_by),
        "driver": person_body(walkaround.person),
        "team_mate": None if walkaround.team_mate is None else person_body(walkaround.team_mate),
        "site": "" if walkaround.site is None else walkaround.site.code,
        "performed_at": report.performed_at,
        "checks": len(report.checks),
        "checks_deleted": report.checks_schema == Report.CHECKS_DELETED,
        "findings": found + len(report.faults),
        "queried": len(report.queried) + len(walkaround.queried),
        "review": review_state(report),
    }


def report_page_body(page: ReportPage, in_force: Catalogue, language: str) -> Body:
    """One whole report, worded by the catalogue it was judged by, else by the one in force."""
    report, catalogue = page.report, page.catalogue or in_force
    signature = report.signature
    return {
        **report_body(report),
        "catalogue": report.walkaround.catalogue_id,
        "catalogue_known": page.catalogue is not None,
        "looks": looks_body(report),
        "items": [_check(check, catalogue, language) for check in report.checks],
        "faults": [
            {"text": fault["text"], "place": fault.get("place", ""), "photos": list(fault.get("photos", ()))}
            for fault in report.faults
        ],
        "queries": [query_body(item, language) for item in (*report.queried, *report.walkaround.queried)],
        "defects": [
            {
                "number": defect.number,
                "what": what_of_defect(defect, in_force, language),
                "state": defect.state,
                "severity": defect.severity,
            }
            for defect in page.defects
        ],
        "signature": {
            "signer": person_body(report.walkaround.person),
            "method": signature.method,
            "shown": signature.shown,
            "signed_at": signature.signed_at,
            "received_at": signature.received_at,
            "content_hash": signature.content_hash,
        },
        "reviews": [
            {"person": person_body(review.person), "reviewed_at": review.reviewed_at} for review in page.reviews
        ],
    }


def query_body(item: Mapping[str, Any], language: str) -> Body:
    """One thing that a foreman must look at."""
    return {
        "code": item["code"],
        "detail": query_words(item["code"], item["facts"], language),
        "check": item.get("check"),
        "meter": item.get("meter"),
    }


def _check(check: Mapping[str, Any], catalogue: Catalogue, language: str) -> Body:
    point, verdict = catalogue.get(check["point"]), check["verdict"]
    code = verdict.get("finding") or check.get("finding", "")
    finding = None if point is None else point.finding(code)
    place = check.get("place", "")
    return {
        "point": check["point"],
        "thing": check["point"] if point is None else point.text[language_of(language)].thing,
        "place": place,
        "where": describe(place, language_of(language)) if place else "",
        "answer": check["answer"],
        "value": check.get("value", ""),
        "unit_of_measure": check.get("unit_of_measure", ""),
        "finding": code if finding is None else finding.text[language_of(language)],
        "reason": check.get("reason", ""),
        "corrected": ": ".join(filter(None, (check.get("corrected_by", ""), check.get("corrected_what", "")))),
        "note": check.get("note", ""),
        "photos": [*check.get("photos", ()), *filter(None, (check.get("corrected_photo"),))],
        "verdict": {
            "outcome": verdict["outcome"],
            "rule": verdict["rule"],
            "severity": verdict.get("severity"),
            "limit_value": verdict.get("limit_value"),
            "source": verdict.get("source"),
        },
    }
