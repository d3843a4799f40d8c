"""The gaps that an auditor finds between reports, certificates and reviews (396.11, 396.13) and roadside (396.9).

A unit counts as driven when a walk-around says so that is made on the road or at a trip's end, by another driver or on
a later day than the report: a walk before a trip alone moves nothing.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from fleet.rules.records.rehearsal import Gap

SHOW_DRIVING = frozenset({"en_route", "post_trip", "drop"})


@dataclass(frozen=True, slots=True)
class Walked:
    """One report as evidence of use: when and on which day of the carrier, in which kind of walk-around, by whom."""

    at: datetime
    day: date
    kind: str
    driver: UUID


@dataclass(frozen=True, slots=True)
class Listed:
    """A statutory defect on a report: its number, when it was first certified (None: never), its name by language."""

    number: int
    certified_at: datetime | None
    what: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Reported:
    """One defect report of a unit: its walk, what it lists, and when its review was signed; None while it was not."""

    unit: UUID
    key: UUID
    walked: Walked
    listed: Sequence[Listed]
    review_due: bool
    reviewed_at: datetime | None


@dataclass(frozen=True, slots=True)
class Inspection:
    """An officer's report on a unit whose answer is due by a day, and the day of the answer; None without one."""

    unit: UUID
    key: UUID
    number: str
    due_on: date
    answered_on: date | None


def report_gaps(report: Reported, walks: Sequence[Walked]) -> Iterator[Gap]:
    """A unit driven again before its listed defects were certified, or before the next driver's review."""
    driven = next_driven(report.walked, walks)
    if driven is None:
        return
    link = f"/api/v1/reports/{report.key}"
    for defect in report.listed:
        if defect.certified_at is None or defect.certified_at > driven.at:
            facts: dict[str, object] = {
                "what": defect.what,
                "defect": defect.number,
                "reported": report.walked.day,
                "driven": driven.day,
            }
            yield Gap(report.unit, "gap_certificate_missing", "49 CFR 396.11(a)(3)", link, facts)
    if report.review_due and (report.reviewed_at is None or report.reviewed_at > driven.at):
        facts = {"reported": report.walked.day, "driven": driven.day}
        yield Gap(report.unit, "gap_review_missing", "49 CFR 396.13", link, facts)


def next_driven(report: Walked, walks: Sequence[Walked]) -> Walked | None:
    """The first walk-around after a report that shows that the unit was driven again."""
    later = [
        walk
        for walk in walks
        if walk.at > report.at and walk.kind in SHOW_DRIVING and (walk.driver != report.driver or walk.day > report.day)
    ]
    return min(later, key=lambda walk: walk.at, default=None)


def roadside_gaps(inspection: Inspection, today: date) -> Iterator[Gap]:
    """An answer that was not given within its 15 days (396.9(d)(3)), or was given late."""
    link = f"/api/v1/roadside-inspections/{inspection.key}"
    facts = {"report": inspection.number, "due": inspection.due_on}
    if inspection.answered_on is None:
        if today > inspection.due_on:
            yield Gap(inspection.unit, "gap_roadside_unanswered", "49 CFR 396.9(d)(3)", link, facts)
    elif inspection.answered_on > inspection.due_on:
        yield Gap(inspection.unit, "gap_roadside_answered_late", "49 CFR 396.9(d)(3)", link, facts)
