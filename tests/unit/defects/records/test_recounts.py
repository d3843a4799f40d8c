"""What a history tells of defects, holds and certificates, entry by entry, also where content was purged."""

from typing import Any
from uuid import UUID

import pytest

from defects.rules.records.recounts import CERTIFICATES, DEFECTS, HOLDS
from fleet.rules.records.chain_check import Fault
from fleet.rules.records.recount import Facts, OnRecord, RecordCheck, Recount, Said

UNIT, KEY, PAPER = UUID(int=1), UUID(int=2), UUID(int=3)
FOUND = ("defect_reported", {"defect": 1001, "severity": "do_not_move", "bars": "movement"})
REPAIRED = ("certificate_signed", {"certificate": str(PAPER), "kind": "repaired"})
PUT_OFF = ("certificate_signed", {"certificate": str(PAPER), "kind": "repair_unnecessary"})
STATES = ("reported", "in_repair", "deferred", "certified", "closed", "entered_in_error")
Entry = tuple[str, dict[str, Any] | None]


def faults(recount: Recount, entries: list[Entry], *rows: tuple[UUID, Facts]) -> list[Fault]:
    check = RecordCheck(UNIT, [recount])
    for kind, body in entries:
        check.take(Said(kind, KEY, body))
    for key, facts in rows:
        check.note(OnRecord(UNIT, recount.name, key, facts))
    return [finding.fault for finding in check.end()]


def defect(state: str, severity: str = "do_not_move", bars: str = "movement") -> tuple[UUID, Facts]:
    return KEY, {"number": 1001, "state": state, "severity": severity, "bars": bars}


@pytest.mark.parametrize(
    ("entries", "states"),
    [
        ([FOUND], {"reported", "in_repair"}),
        ([FOUND, REPAIRED], {"certified"}),
        ([FOUND, REPAIRED, ("defect_closed", {})], {"closed"}),
        ([FOUND, REPAIRED, ("defect_reopened", {})], {"reported", "in_repair"}),
        ([FOUND, REPAIRED, ("defect_closed", {}), ("defect_reopened", {})], {"closed"}),
        ([FOUND, PUT_OFF], {"deferred", "in_repair"}),
        ([FOUND, PUT_OFF, ("deferral_ended", {})], {"reported", "in_repair"}),
        ([FOUND, PUT_OFF, ("defect_raised", FOUND[1])], {"reported", "in_repair"}),
        ([FOUND, PUT_OFF, ("defect_seen_again", {"severity": "watch"})], {"deferred", "in_repair"}),
        ([FOUND, PUT_OFF, ("defect_seen_again", {**FOUND[1], "report_number": "7"})], {"reported", "in_repair"}),
        ([FOUND, PUT_OFF, ("defect_regraded", FOUND[1])], {"reported", "in_repair", "deferred"}),
        ([FOUND, ("defect_entered_in_error", {})], {"entered_in_error"}),
        ([FOUND, ("fault_corrected_on_the_spot", {"defect": 1001})], {"certified", "closed"}),
        ([FOUND, ("fault_corrected_on_the_spot", {"defect": 1001, "state": "closed"})], {"closed"}),
        ([FOUND, ("certificate_signed", None)], set(STATES)),
    ],
)
def test_state__is_one_of_those_that_the_history_leaves(entries: list[Entry], states: set[str]) -> None:
    agreed = {state for state in STATES if not faults(DEFECTS, entries, defect(state))}
    assert agreed == states


def test_grade__the_last_that_was_said_counts() -> None:
    graded = ("defect_regraded", {"severity": "watch", "bars": "nothing"})
    assert faults(DEFECTS, [FOUND, graded], defect("reported", "watch", "nothing")) == []
    assert faults(DEFECTS, [FOUND, graded], defect("reported")) == [Fault.RECORD_DIFFERS, Fault.RECORD_DIFFERS]


def test_entry_that_does_not_say_the_grade__leaves_it_unknown() -> None:
    assert faults(DEFECTS, [FOUND, ("defect_raised", None)], defect("reported", "watch", "nothing")) == []


def test_correction_of_what_never_was_a_defect__tells_of_none() -> None:
    assert faults(DEFECTS, [("fault_corrected_on_the_spot", {"defect": None})]) == []
    assert faults(DEFECTS, [("fault_corrected_on_the_spot", None)]) == []


def test_defect_without_a_row__and_a_row_without_an_entry() -> None:
    assert faults(DEFECTS, [FOUND]) == [Fault.RECORD_MISSING]
    assert faults(DEFECTS, [], defect("reported")) == [Fault.RECORD_NOT_IN_HISTORY]


def test_hold__stands_until_lifted() -> None:
    placed = ("hold_placed", {"hold": 7, "kind": "carrier"})
    row = {"number": 7, "kind": "carrier"}
    assert faults(HOLDS, [placed], (KEY, {**row, "active": True})) == []
    assert faults(HOLDS, [placed], (KEY, {**row, "active": False})) == [Fault.RECORD_DIFFERS]
    assert faults(HOLDS, [("hold_placed", None), ("hold_lifted", None)], (KEY, {**row, "active": False})) == []
    assert faults(HOLDS, [("hold_placed", None)], (KEY, {**row, "active": False})) == [Fault.RECORD_DIFFERS]


def test_certificate__that_an_entry_no_longer_names__may_be_there_and_no_second_one() -> None:
    row: Facts = {"defect": str(KEY), "kind": "repaired"}
    purged: list[Entry] = [("certificate_signed", None)]
    assert faults(CERTIFICATES, purged, (PAPER, row)) == []
    assert faults(CERTIFICATES, purged, (PAPER, row), (UUID(int=4), row)) == [Fault.RECORD_NOT_IN_HISTORY] * 2
    on_the_spot: list[Entry] = [("fault_corrected_on_the_spot", {"defect": 1001})]
    assert faults(CERTIFICATES, on_the_spot, (PAPER, row)) == []
    assert faults(CERTIFICATES, [("fault_corrected_on_the_spot", {"defect": None})], (PAPER, row)) == [
        Fault.RECORD_NOT_IN_HISTORY
    ]
