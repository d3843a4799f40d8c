"""Which rule keeps which entry, and for how long, as it is known when the entry is written."""

from datetime import date

import pytest

from fleet.rules.records.retention import Happened, Retained, as_kind, for_good
from fleet.selectors.records.retention import retention_of

DAY = date(2026, 3, 6)
INSPECTION = "periodic_inspection_report"


@pytest.mark.parametrize(
    ("event", "said", "expected"),
    [
        ("report_signed", {}, Retained("driver_report", date(2026, 6, 6))),
        ("driver_reviewed", {}, Retained("driver_report", date(2026, 6, 6))),
        ("certificate_signed", {}, Retained("maintenance", date(2027, 3, 6))),
        ("fault_corrected_on_the_spot", {}, Retained("maintenance", date(2027, 3, 6))),
        ("repair_task_done", {}, Retained("maintenance", date(2027, 3, 6))),
        ("roadside_inspected", {}, Retained("roadside_inspection", date(2027, 3, 6))),
        ("loaded", {}, Retained("load", date(2029, 3, 6))),
        ("photo_received", {"proves_repair": False}, Retained("driver_report", date(2026, 6, 6))),
        ("photo_received", {"proves_repair": True}, Retained("maintenance", date(2027, 3, 6))),
        ("unit_added", {}, Retained("unit_file", None)),
        ("legal_hold_placed", {}, Retained("unit_file", None)),
        ("never_heard_of", {}, Retained("unit_file", None)),
    ],
)
def test_entry__kept_by_the_rule_of_its_kind(event: str, said: dict[str, object], expected: Retained) -> None:
    assert retention_of(event, Happened(DAY, said)) == expected


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"kind": "periodic_inspection", "starts_on": date(2026, 3, 1)}, Retained(INSPECTION, date(2027, 5, 1))),
        ({"kind": "periodic_inspection", "starts_on": "2026-03-01"}, Retained(INSPECTION, date(2027, 5, 1))),
        (
            {"kind": "periodic_inspection", "starts_on": "2026-03-01", "issued_on": "2026-03-03"},
            Retained(INSPECTION, date(2027, 5, 3)),
        ),
        # An old report put on record late: the file's year reaches further.
        ({"kind": "periodic_inspection", "starts_on": "2025-06-01"}, Retained("maintenance", date(2027, 3, 6))),
        ({"kind": "registration", "ends_on": "2026-12-31"}, Retained("superseded_document", date(2027, 12, 31))),
        ({"kind": "registration", "ends_on": None}, Retained("superseded_document", None)),
        ({"kind": "heavy_vehicle_use_tax", "ends_on": date(2026, 6, 30)}, Retained("use_tax", date(2029, 6, 30))),
        ({"kind": "a_kind_that_is_gone"}, Retained("unit_file", None)),
    ],
)  # fmt: skip
def test_document__by_its_kind_and_never_shorter_than_the_file(said: dict[str, object], expected: Retained) -> None:
    assert retention_of("document_recorded", Happened(DAY, said)) == expected
    assert retention_of("document_replaced", Happened(DAY, said)) == expected


def test_unknown_record_kind__refused_at_once() -> None:
    for rule in (as_kind, for_good):
        with pytest.raises(KeyError):
            rule("napkin")
