"""What a history tells of documents, legal holds, units and axles, entry by entry, also where content was purged."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from fleet.rules.records.chain_check import Fault
from fleet.rules.records.recount import Facts, OnRecord, RecordCheck, Recount, Said
from fleet.rules.records.recounts import (
    AXLES,
    DOCUMENT_AT_FIRST,
    DOCUMENTS,
    LEGAL_HOLDS,
    READINGS,
    UNIT_AT_FIRST,
    UNITS,
    axle_facts,
)

UNIT, OLD, NEW = UUID(int=1), UUID(int=2), UUID(int=3)
Entry = tuple[str, UUID, dict[str, Any] | None]
RECORDED: Entry = ("document_recorded", OLD, {"kind": "registration", "ends_on": "2026-06-30"})
REPLACED: Entry = ("document_replaced", NEW, {"kind": "registration", "ends_on": "2027-06-30", "replaces": str(OLD)})


def faults(recount: Recount, entries: list[Entry], *rows: tuple[UUID, Facts]) -> list[Fault]:
    check = RecordCheck(UNIT, [recount])
    for kind, subject, body in entries:
        check.take(Said(kind, subject, body))
    for key, facts in rows:
        check.note(OnRecord(UNIT, recount.name, key, facts))
    return [finding.fault for finding in check.end()]


def paper(**facts: object) -> Facts:
    return {**DOCUMENT_AT_FIRST, "kind": "registration", "file": None, "current": True, **facts}


def test_document__is_mended_scanned_and_replaced() -> None:
    mended: Entry = ("document_edited", OLD, {"kind": "registration", "changed": {"ends_on": ["x", "2026-07-31"]}})
    scanned: Entry = ("document_scanned", OLD, {"sha256": "ab", "before": None})
    old = paper(ends_on="2026-07-31", file="ab", current=False)
    new = paper(ends_on="2027-06-30")
    entries = [RECORDED, mended, scanned, REPLACED]

    assert faults(DOCUMENTS, entries, (OLD, old), (NEW, new)) == []
    assert faults(DOCUMENTS, entries, (OLD, {**old, "number": "7", "file": None}), (NEW, new)) == [
        Fault.RECORD_DIFFERS,
        Fault.RECORD_DIFFERS,
    ]


def test_state_of_a_document__told_by_the_name_that_history_once_gave_it() -> None:
    recorded: Entry = ("document_recorded", OLD, {"kind": "registration", "state": "IL"})
    mended: Entry = ("document_edited", OLD, {"kind": "registration", "changed": {"state": ["IL", "TX"]}})

    assert faults(DOCUMENTS, [recorded], (OLD, paper(us_state="IL"))) == []
    assert faults(DOCUMENTS, [recorded, mended], (OLD, paper(us_state="TX"))) == []
    assert faults(DOCUMENTS, [recorded, mended], (OLD, paper(us_state="IL"))) == [Fault.RECORD_DIFFERS]


def test_document_whose_replacing_is_purged__may_stand_or_not() -> None:
    purged: Entry = ("document_replaced", NEW, None)
    for current in (True, False):
        old = paper(ends_on="2026-06-30", current=current)
        assert faults(DOCUMENTS, [RECORDED, purged], (OLD, old), (NEW, paper())) == []


def test_legal_hold__stands_until_lifted() -> None:
    placed: Entry = ("legal_hold_placed", OLD, {"cause": "claim", "reason": ""})
    lifted: Entry = ("legal_hold_lifted", OLD, {"cause": "claim", "reason": ""})
    assert faults(LEGAL_HOLDS, [placed, lifted], (OLD, {"cause": "claim", "active": False})) == []
    assert faults(LEGAL_HOLDS, [placed], (OLD, {"cause": "claim", "active": False})) == [Fault.RECORD_DIFFERS]


def test_unit__facts_and_details_as_last_given_and_decimals_by_their_value() -> None:
    added: Entry = ("unit_added", UNIT, {"kind": "tractor", "number": "NL-15", "details": {"fuel_tank_gal": "120"}})
    edited: Entry = ("unit_edited", UNIT, {"plate": ["", "XYZ"], "axles": [[], []]})
    retired: Entry = ("unit_retired", UNIT, {"retired_on": "2026-11-29", "reason": "sold"})
    row = {**UNIT_AT_FIRST, "kind": "tractor", "number": "NL-15", "plate": "XYZ", "retired_on": "2026-11-29"}
    row["fuel_tank_gal"] = str(Decimal("120.0"))

    assert faults(UNITS, [added, edited, retired], (UNIT, row)) == []
    assert faults(UNITS, [added, edited, retired], (UNIT, {**row, "fuel_tank_gal": "100.0"})) == [Fault.RECORD_DIFFERS]
    assert faults(UNITS, [added, edited], (UNIT, row)) == [Fault.RECORD_DIFFERS]


def test_axles__as_last_given_in_the_columns_that_were() -> None:
    one, two = {"number": 1, "chamber_type": "24"}, {"number": 2, "chamber_type": "24"}
    added: Entry = ("unit_added", UNIT, {"kind": "trailer", "axles": [one]})
    edited: Entry = ("unit_edited", UNIT, {"axles": [[one], [one, two]]})
    stored = axle_facts([{**one, "lining": ""}, {**two, "lining": ""}])

    assert faults(AXLES, [added, edited], (UNIT, stored)) == []
    assert faults(AXLES, [added], (UNIT, stored)) == [Fault.RECORD_DIFFERS]
    assert faults(AXLES, [added, edited]) == [Fault.RECORD_MISSING]
    assert faults(AXLES, [added, ("unit_edited", UNIT, {"axles": [[one], []]})]) == []


def test_reading__stays_what_it_was() -> None:
    said = {"meter": "odometer_mi", "shown": "44000.0", "total": "244000.0", "offset": "200000.0"}
    replaced: Entry = ("meter_replaced", NEW, said)
    row: Facts = {"meter": "odometer_mi", "shown": "44000", "total": "244000"}
    of_a_driver = (OLD, row)

    assert faults(READINGS, [replaced], (NEW, row), of_a_driver) == []
    assert faults(READINGS, [replaced], (NEW, {**row, "total": "144000"})) == [Fault.RECORD_DIFFERS]
    assert faults(READINGS, [replaced]) == [Fault.RECORD_MISSING]
    assert faults(READINGS, [("meter_replaced", NEW, None)], (NEW, row)) == []
