"""What may be recorded of a document, and where it ends then."""

import datetime as dt

import pytest

from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.recording import DocumentRefused, Subject, end_of_document
from fleet.rules.units.description import FactProblem

TODAY = dt.date(2026, 3, 6)
DAY = dt.timedelta(days=1)
TRAILER = Subject("trailer")
KINDS = load_document_kinds()


def end(kind: str, subject: Subject = TRAILER, **facts: object) -> PeriodEnd:
    return end_of_document(KINDS[kind], subject, facts, TODAY)


def refusal(kind: str, subject: Subject = TRAILER, **facts: object) -> list[FactProblem]:
    with pytest.raises(DocumentRefused) as refused:
        end(kind, subject, **facts)
    return list(refused.value.problems)


def test_periodic_inspection__has_both_readings_of_its_end() -> None:
    ends = end("periodic_inspection", starts_on=dt.date(2025, 3, 14), program="self")
    assert (ends.by_day, ends.by_month_end) == (dt.date(2026, 3, 13), dt.date(2026, 3, 31))
    assert not ends.month_end_is_the_rule


def test_inspection_under_a_state_program__runs_to_the_month_end_by_rule() -> None:
    assert end("periodic_inspection", starts_on=dt.date(2025, 3, 14), program="state").month_end_is_the_rule


def test_inspection_of_today__is_taken_and_of_tomorrow_refused() -> None:
    assert end("periodic_inspection", starts_on=TODAY).by_day == dt.date(2027, 3, 5)
    assert refusal("periodic_inspection", starts_on=TODAY + DAY) == [FactProblem("starts_on", "date_in_future")]


def test_registration_that_begins_later__is_taken_ahead() -> None:
    assert end("registration", starts_on=TODAY + DAY, ends_on=TODAY + 30 * DAY).by_day == TODAY + 30 * DAY


@pytest.mark.parametrize(
    ("kind", "subject", "facts", "expected"),
    [
        ("registration", TRAILER, {}, [("ends_on", "period_required")]),
        (
            "registration",
            TRAILER,
            {"starts_on": TODAY, "ends_on": TODAY - DAY},
            [("ends_on", "period_ends_before_start")],
        ),
        ("periodic_inspection", TRAILER, {}, [("starts_on", "period_required")]),
        (
            "periodic_inspection",
            TRAILER,
            {"starts_on": TODAY, "ends_on": TODAY + 400 * DAY},
            [("ends_on", "period_end_is_computed")],
        ),
        (
            "periodic_inspection",
            TRAILER,
            {"starts_on": TODAY, "permanent": True},
            [("permanent", "period_may_not_be_permanent")],
        ),
        ("registration", Subject("person"), {"ends_on": TODAY}, [("kind", "document_not_of_subject")]),
        ("registration", TRAILER, {"ends_on": TODAY, "us_state": "ZZ"}, [("us_state", "state_unknown")]),
        ("registration", TRAILER, {"ends_on": TODAY, "program": "self"}, [("program", "program_not_of_kind")]),
        ("registration", TRAILER, {"ends_on": TODAY, "issued_on": TODAY + DAY}, [("issued_on", "date_in_future")]),
        ("cooling_unit_label", Subject("cooling_unit"), {"ends_on": TODAY}, [("us_state", "document_state_needed")]),
    ],
)
def test_facts_that_make_no_document__are_named(
    kind: str, subject: Subject, facts: dict[str, object], expected: list[tuple[str, str]]
) -> None:
    assert refusal(kind, subject, **facts) == [FactProblem(*problem) for problem in expected]


def test_permanent_registration__has_no_end() -> None:
    assert end("registration", permanent=True) == PeriodEnd()
