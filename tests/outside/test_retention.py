"""Keep-until days against the periods of the regulation texts, typed here with a calendar."""

from datetime import date

import pytest

from fleet.rules.retention import keep_until


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
def test_last_day_of_keeping__still_kept_and_free_the_day_after(kind: str, counted_from: date, last_day: date) -> None:
    keeping = keep_until(kind, counted_from)
    assert keeping.until == last_day
    assert keeping.may_go_on(last_day) is False
    assert keeping.may_go_on(date.fromordinal(last_day.toordinal() + 1)) is True


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
    assert keep_until("maintenance", recorded, left_control_on=left_control).until == last_day
