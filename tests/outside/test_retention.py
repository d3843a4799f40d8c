"""Keep-until days against the periods of the regulation texts, typed here with a calendar.

49 CFR 396.3(c), 396.9(d)(3)(ii), 396.11(a)(4), 396.19(b), 396.21(b)(1) and 396.25(e), 21 CFR 1.912, 40 CFR 82.161(a)(4)
and 13 CCR 2477.20(b), as read; the three years of the use tax are from memory. A day of keeping counts in full. That a
month without the day ends on its last one is common practice, no source.
"""

from datetime import date

import pytest

from fleet.rules.records.retention import RECORD_KINDS, Happened, retained_until
from fleet.selectors.records.retention import retention_of


@pytest.mark.parametrize(
    ("kind", "counted_from", "last_day"),
    [
        ("driver_report", date(2026, 3, 5), date(2026, 6, 5)),  # 396.11(a)(4): three months from preparation
        ("driver_report", date(2025, 11, 30), date(2026, 2, 28)),
        ("roadside_inspection", date(2026, 3, 15), date(2027, 3, 15)),  # 396.9(d)(3)(ii): 12 months from inspection
        ("maintenance", date(2026, 3, 5), date(2027, 3, 5)),  # 396.3(c): 1 year
        ("periodic_inspection_report", date(2026, 3, 14), date(2027, 5, 14)),  # 396.21(b)(1): 14 months from the report
        ("periodic_inspection_report", date(2025, 12, 31), date(2027, 2, 28)),
        ("periodic_inspector_evidence", date(2026, 3, 31), date(2027, 3, 31)),  # 396.19(b): duty and 1 year
        ("brake_inspector_evidence", date(2024, 2, 29), date(2025, 2, 28)),  # 396.25(e): employment and 1 year
        ("food_procedures", date(2026, 3, 31), date(2027, 3, 31)),  # 21 CFR 1.912: 12 months beyond use
        ("food_agreement", date(2026, 3, 31), date(2027, 3, 31)),
        ("food_training", date(2026, 3, 31), date(2027, 3, 31)),
        ("refrigerant_card", date(2026, 3, 31), date(2029, 3, 31)),  # 40 CFR 82.161(a)(4): 3 years
        ("california_cooling_unit", date(2026, 3, 31), date(2029, 3, 31)),  # 13 CCR 2477.20(b): 3 years
        ("use_tax", date(2026, 6, 30), date(2029, 6, 30)),  # 3 years, from memory
    ],
)
def test_last_day_of_keeping__as_the_rule_counts_it(kind: str, counted_from: date, last_day: date) -> None:
    assert retained_until(kind, counted_from).until == last_day


@pytest.mark.parametrize(
    ("recorded", "left_control", "last_day"),
    [
        (date(2026, 3, 5), date(2026, 10, 1), date(2027, 4, 1)),  # six months after leaving reach further
        (date(2026, 3, 5), date(2026, 4, 1), date(2027, 3, 5)),  # the year reaches further
        (date(2025, 1, 5), date(2026, 10, 1), date(2027, 4, 1)),
    ],
)
def test_maintenance_of_a_unit_that_left__one_year_and_six_months_after(
    recorded: date, left_control: date, last_day: date
) -> None:
    """396.3(c): for 1 year, and for 6 months after the vehicle leaves the carrier's control."""
    assert retained_until("maintenance", recorded, left_control_on=left_control).until == last_day


@pytest.mark.parametrize(
    ("kind", "counted_from", "last_day"),
    [
        ("driver_report", date(2026, 11, 29), date(2027, 2, 28)),  # 396.11(a)(4), into a February of 28 days
        ("driver_report", date(2027, 11, 30), date(2028, 2, 29)),  # and of 29
        ("driver_report", date(2026, 10, 31), date(2027, 1, 31)),
        ("roadside_inspection", date(2024, 2, 29), date(2025, 2, 28)),  # 396.9(d)(3)(ii), from a leap day
        ("roadside_inspection", date(2027, 2, 28), date(2028, 2, 28)),
        ("periodic_inspection_report", date(2026, 6, 30), date(2027, 8, 30)),  # 396.21(b)(1)
        ("periodic_inspection_report", date(2026, 12, 29), date(2028, 2, 29)),
        ("periodic_inspector_evidence", date(2024, 2, 29), date(2025, 2, 28)),  # 396.19(b)
        ("refrigerant_card", date(2024, 2, 29), date(2027, 2, 28)),  # 40 CFR 82.161(a)(4)
    ],
)
def test_last_day_at_the_ends_of_months__as_a_calendar_shows_it(kind: str, counted_from: date, last_day: date) -> None:
    assert retained_until(kind, counted_from).until == last_day


@pytest.mark.parametrize(
    ("event", "said", "last_day"),
    [
        # 396.11(a)(4) names three documents: the report, the repair certification, the driver's review.
        ("report_signed", {}, date(2026, 6, 5)),
        ("driver_reviewed", {}, date(2026, 6, 5)),
        # The certification is a record of repair as well, 396.3(b)(3) and (c): the later day counts.
        ("certificate_signed", {}, date(2027, 3, 5)),
        ("fault_corrected_on_the_spot", {}, date(2027, 3, 5)),
        ("repair_order_closed", {}, date(2027, 3, 5)),
        ("outside_repair_recorded", {}, date(2027, 3, 5)),
        ("roadside_inspected", {}, date(2027, 3, 5)),  # 396.9(d)(3)(ii)
        ("roadside_answered", {}, date(2027, 3, 5)),
        # 396.21(b)(1): from the date of the report, not from the day it was put on record.
        ("document_recorded", {"kind": "periodic_inspection", "starts_on": "2026-03-02"}, date(2027, 5, 2)),
    ],
)
def test_what_the_service_writes_on_5_march_2026__kept_as_the_rules_ask(
    event: str, said: dict[str, object], last_day: date
) -> None:
    assert retention_of(event, Happened(date(2026, 3, 5), said)).until == last_day


def test_source_and_basis__as_the_texts_were_read() -> None:
    assert {kind: (rule.source, rule.basis) for kind, rule in RECORD_KINDS.items() if rule.basis != "own"} == {
        "driver_report": ("49 CFR 396.11(a)(4)", "read"),
        "roadside_inspection": ("49 CFR 396.9(d)(3)(ii)", "read"),
        "maintenance": ("49 CFR 396.3(c)", "read"),
        "unit_file": ("49 CFR 396.3(b)(1), (c)", "read"),
        "periodic_inspection_report": ("49 CFR 396.21(b)(1)", "read"),
        "periodic_inspector_evidence": ("49 CFR 396.19(b)", "read"),
        "brake_inspector_evidence": ("49 CFR 396.25(e)", "read"),
        "food_procedures": ("21 CFR 1.912", "read"),
        "food_agreement": ("21 CFR 1.912", "read"),
        "food_training": ("21 CFR 1.912", "read"),
        "refrigerant_card": ("40 CFR 82.161(a)(4)", "read"),
        "california_cooling_unit": ("13 CCR 2477.20(b)", "read"),
        "use_tax": ("tax authority", "memory"),
    }
