"""The gaps between reports, certificates, reviews and officers' reports: each found, and what is near one not."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest

from defects.rules.records.audit_gaps import Inspection, Listed, Reported, Walked, report_gaps, roadside_gaps

UNIT, IRIS, SOL = UUID(int=1), UUID(int=2), UUID(int=3)
REPORTED = datetime(2026, 3, 6, 22, tzinfo=UTC)
DRIVEN = REPORTED + timedelta(hours=16)
SECOND = timedelta(seconds=1)
WALK = Walked(REPORTED, date(2026, 3, 6), "post_trip", IRIS)
AGAIN = Walked(DRIVEN, date(2026, 3, 7), "en_route", SOL)
HORN = {"en": "Horn: silent", "es": "Bocina: muda"}
REPORT = Reported(
    UNIT, UUID(int=9), WALK, [Listed(7, DRIVEN - SECOND, HORN)], review_due=True, reviewed_at=DRIVEN - SECOND
)
ANSWER = Inspection(UNIT, UUID(int=8), "IL-1", date(2026, 3, 21), date(2026, 3, 21))


@pytest.mark.parametrize("certified_at", [None, DRIVEN + SECOND])
def test_driven_again_without_certificate__gap_of_the_defect(certified_at: datetime | None) -> None:
    [gap] = report_gaps(replace(REPORT, listed=[Listed(7, certified_at, HORN)]), [WALK, AGAIN])
    assert (gap.code, gap.section) == ("gap_certificate_missing", "49 CFR 396.11(a)(3)")
    assert gap.link == f"/api/v1/reports/{REPORT.key}"
    assert gap.facts == {"what": HORN, "defect": 7, "reported": WALK.day, "driven": AGAIN.day}


@pytest.mark.parametrize("reviewed_at", [None, DRIVEN + SECOND])
def test_driven_again_without_review__gap(reviewed_at: datetime | None) -> None:
    [gap] = report_gaps(replace(REPORT, reviewed_at=reviewed_at), [WALK, AGAIN])
    assert (gap.code, gap.section) == ("gap_review_missing", "49 CFR 396.13")
    assert gap.facts == {"reported": WALK.day, "driven": AGAIN.day}


def test_certified_and_reviewed_before_it_is_driven__no_gap() -> None:
    assert list(report_gaps(REPORT, [WALK, AGAIN])) == []
    at_once = replace(REPORT, listed=[Listed(7, DRIVEN, HORN)], reviewed_at=DRIVEN)
    assert list(report_gaps(at_once, [WALK, AGAIN])) == []


@pytest.mark.parametrize(
    "walks",
    [
        [],
        [replace(AGAIN, at=REPORTED - SECOND)],
        [replace(AGAIN, kind="pre_trip")],
        [replace(AGAIN, kind="pick_up")],
        [replace(AGAIN, driver=IRIS, day=WALK.day)],
    ],
    ids=["none", "before the report", "before a trip", "at a pick-up", "the same trip"],
)
def test_not_driven_again__no_gap_yet(walks: list[Walked]) -> None:
    nothing_done = replace(REPORT, listed=[Listed(7, None, HORN)], reviewed_at=None)
    assert list(report_gaps(nothing_done, [WALK, *walks])) == []


@pytest.mark.parametrize(
    "again",
    [AGAIN, replace(AGAIN, kind="post_trip"), replace(AGAIN, kind="drop"), replace(AGAIN, driver=IRIS)],
    ids=["another driver", "a trip's end", "at a drop", "the same driver on a later day"],
)
def test_driven_again__is_seen(again: Walked) -> None:
    assert len(list(report_gaps(replace(REPORT, reviewed_at=None), [again]))) == 1


def test_review_that_is_not_owed__no_gap() -> None:
    assert list(report_gaps(replace(REPORT, review_due=False, reviewed_at=None), [AGAIN])) == []


def test_officers_report_past_its_day_without_answer__gap() -> None:
    [gap] = roadside_gaps(replace(ANSWER, answered_on=None), date(2026, 3, 22))
    assert (gap.code, gap.section) == ("gap_roadside_unanswered", "49 CFR 396.9(d)(3)")
    assert gap.facts == {"report": "IL-1", "due": date(2026, 3, 21)}


def test_officers_report_answered_late__gap() -> None:
    [gap] = roadside_gaps(replace(ANSWER, answered_on=date(2026, 3, 22)), date(2026, 4, 1))
    assert (gap.code, gap.section) == ("gap_roadside_answered_late", "49 CFR 396.9(d)(3)")


def test_officers_report_answered_or_answerable_on_its_last_day__no_gap() -> None:
    assert list(roadside_gaps(ANSWER, date(2026, 4, 1))) == []
    assert list(roadside_gaps(replace(ANSWER, answered_on=None), date(2026, 3, 21))) == []
