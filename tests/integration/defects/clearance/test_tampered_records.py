"""Records changed in the database itself, behind the service's back: each is found by what the history tells."""

from datetime import date
from typing import Any

import pytest
from django.db import connection, transaction

from fleet.enums import HoldCause
from fleet.services.documents.documents import edit_document, replace_document
from fleet.services.records.legal_holds import lift_legal_hold, place_legal_hold
from fleet.services.records.verification.verify import Verification
from tests.factories.fleet import TODAY, make_document
from tests.support.yard import TAPE, Yard, photo_on

LIFT = """
    UPDATE defects_hold SET lifted_at = now(), lifted_by_id = placed_by_id,
           lift_signature_id = (SELECT id FROM fleet_signature WHERE purpose = 'certificate' LIMIT 1)
"""
FORGE = """
    INSERT INTO defects_certificate
    SELECT (jsonb_populate_record(made, '{"id": "01a21200-0000-7000-8000-000000000001",
                                          "signature_id": "01a21200-0000-7000-8000-000000000002"}')).*
      FROM defects_certificate AS made WHERE kind = 'repair_unnecessary'
"""
LET_GO = "UPDATE fleet_legalhold SET lifted_at = now(), lifted_by_id = placed_by_id, lift_reason = 'x'"
CASES = {
    "an open defect is closed": (
        "UPDATE defects_defect SET state = 'closed' WHERE state = 'reported'",
        "state is closed, the history says in_repair or reported",
    ),
    "a defect is put off without a certificate": (
        "UPDATE defects_defect SET state = 'deferred' WHERE state = 'reported'",
        "state is deferred, the history says in_repair or reported",
    ),
    "a certified defect is called an error": (
        "UPDATE defects_defect SET state = 'entered_in_error' WHERE state = 'certified'",
        "state is entered_in_error, the history says certified",
    ),
    "a defect is made milder": (
        "UPDATE defects_defect SET severity = 'watch' WHERE state = 'certified'",
        "severity is watch, the history says do_not_move",
    ),
    "what a defect bars is made less": (
        "UPDATE defects_defect SET bars = 'nothing' WHERE state = 'certified'",
        "bars is nothing, the history says movement",
    ),
    "a defect is deleted": (
        "DELETE FROM defects_defect WHERE state = 'reported'",
        "a record that the history tells of is not there (defect ",
    ),
    "a hold is lifted": (LIFT, "active is False, the history says True"),
    "a hold is deleted": ("DELETE FROM defects_hold", "a record that the history tells of is not there (hold "),
    "a certificate is deleted": (
        "DELETE FROM defects_certificate WHERE kind = 'repair_unnecessary'",
        "a record that the history tells of is not there (certificate ",
    ),
    "a certificate says otherwise": (
        "UPDATE defects_certificate SET kind = 'repaired', limit_on = NULL WHERE kind = 'repair_unnecessary'",
        "kind is repaired, the history says repair_unnecessary",
    ),
    "a certificate is made up": (
        FORGE,
        "the history does not tell of a record (certificate 01a21200-0000-7000-8000-000000000001)",
    ),
    "a document runs longer": (
        "UPDATE fleet_document SET ends_on = '2036-01-01' WHERE superseded_at IS NULL",
        "ends_on is 2036-01-01, the history says 2027-07-31",
    ),
    "a superseded document is current again": (
        "UPDATE fleet_document SET state = 'ZZ', superseded_at = NULL WHERE superseded_at IS NOT NULL",
        "current is True, the history says False",
    ),
    "a document is deleted": (
        "DELETE FROM fleet_document WHERE superseded_at IS NULL",
        "a record that the history tells of is not there (document ",
    ),
    "a legal hold is lifted": (f"{LET_GO} WHERE lifted_at IS NULL", "active is False, the history says True"),
    "a legal hold is deleted": (
        "DELETE FROM fleet_legalhold WHERE lifted_at IS NULL",
        "a record that the history tells of is not there (legal hold ",
    ),
    "a unit gets another model year": (
        "UPDATE fleet_unit SET model_year = 1990 WHERE number = 'LR-46'",
        "model_year is 1990, the history says empty",
    ),
    "a brake chamber is made larger": (
        "UPDATE fleet_axle SET chamber_type = '30' WHERE number = 2 AND chamber_type = '24'",
        "2 chamber_type is 30, the history says 24",
    ),
    "an axle is deleted": (
        "DELETE FROM fleet_axle WHERE number = 2 AND chamber_type = '24'",
        "count is 1, the history says 2",
    ),
    "a chain row is shortened": (
        "UPDATE fleet_unitchain SET sequence = sequence - 1 WHERE sequence > 10",
        "the chain row does not fit the last entry",
    ),
}


TABLES = ("defects_hold", "defects_certificate", "fleet_legalhold")
"""Those of them that triggers keep."""


@pytest.fixture
def used(yard: Yard) -> Yard:
    """A trailer with defects in several states, a hold, certificates of both kinds, documents and legal holds."""
    yard.repaired_stroke(yard.stroke())
    put_off = yard.finding(TAPE, finding="damaged")
    yard.dismiss(put_off, photo=photo_on(put_off))
    yard.finding("engine.belts", finding="cracked_or_frayed", unit=yard.tractor)
    old = make_document(yard.trailer)
    by: dict[str, Any] = {"actor": yard["vera"], "today": TODAY, "now": yard.later()}
    old = edit_document(document_id=old.pk, version=old.version, changes={"ends_on": date(2026, 7, 31)}, **by)
    new = {"starts_on": date(2026, 8, 1), "ends_on": date(2027, 7, 31)}
    replace_document(document_id=old.pk, version=old.version, facts=new, **by)
    for _ in range(2):
        hold = place_legal_hold(
            unit_id=yard.trailer.pk, cause=HoldCause.CLAIM, reason="a claim", actor=yard["vera"], now=yard.later()
        )
    lift_legal_hold(hold_id=hold.pk, reason="settled", actor=yard["vera"], now=yard.later())
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for table in TABLES:
            cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
    return yard


def found() -> list[str]:
    return [str(finding) for finding in Verification(None)._found()]


def found_after(statement: str) -> tuple[int, list[str]]:
    """How many rows the owner of the tables changed, and what is found then; taken back."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
        result = (cursor.rowcount, found())
        transaction.set_rollback(True)
    return result


def test_untouched__nothing_is_found(used: Yard) -> None:
    assert found() == []


def test_each_tampering__is_found_and_named(used: Yard) -> None:
    seen = {name: found_after(statement) for name, (statement, _) in CASES.items()}

    missed = {
        name: seen[name]
        for name, (_, says) in CASES.items()
        if seen[name][0] == 0 or not any(says in line for line in seen[name][1])
    }
    assert missed == {}
    assert found() == []
