"""The facts that answer dispatch: the driver and load of a trip are found; an unreadable unit bars itself alone."""

import datetime as dt
from typing import Any

import pytest

from common.ids import uuid7
from defects.rules.clearance.readiness import judge_walk
from defects.rules.clearance.unit_facts import UnitFacts
from defects.selectors.clearance import context, reason_messages, units
from defects.selectors.clearance.snapshot import TripRequest, fact_rows
from fleet.models import Person, Unit
from tests.support.acting import acting_as
from tests.support.ninefold import person


@pytest.mark.parametrize("named", ["nobody", "a driver", "a stranger"])
def test_any_trip__the_driver_who_is_named_and_nobody_else(ninefold: dt.datetime, named: str) -> None:
    iris: Person = person("iris")
    asked = TripRequest({"nobody": None, "a driver": iris.pk, "a stranger": uuid7()}[named])
    keys = list(Unit.objects.order_by("pk").values_list("pk", flat=True))

    found = fact_rows(keys, as_of=ninefold, requested=asked)

    assert {row.kind for row in found} >= {"carrier", "details", "document", "coupling", "mounting"}
    assert [row.unit for row in found if row.kind == "driver"] == ([iris.pk] if named == "a driver" else [])


def test_unit_with_unreadable_records__is_barred_and_the_others_are_answered(
    ninefold: dt.datetime, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    read = units.unit_facts
    cal = acting_as("cal")

    def reasons() -> dict[str, set[str]]:
        answer = cal.get("yard")
        assert answer.status_code == 200
        return {row["unit"]: {reason["code"] for reason in row["reasons"]} for row in answer.json()["results"]}

    def unreadable(unit: Unit, *given: Any) -> Any:
        if unit.number == "LR-47":
            raise KeyError("severity")
        return read(unit, *given)

    before = reasons()
    monkeypatch.setattr(context, "unit_facts", unreadable)
    now = reasons()

    assert "record_unreadable" in now["LR-47"]
    assert {unit: codes for unit, codes in now.items() if "record_unreadable" not in codes}.items() <= before.items()
    assert len(now) == len(before) > 3
    assert [record for record in caplog.records if record.exc_info and "cannot be read" in record.message]


def test_unit_that_cannot_be_weighed__barred_for_it_and_the_others_are_answered_for(
    ninefold: dt.datetime, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:

    def trip_over(unit: UnitFacts, *given: Any) -> None:
        if unit.ref == "LR-45":
            raise ValueError("year 0 is out of range")
        judge_walk(unit, *given)

    monkeypatch.setattr("defects.rules.clearance.evaluate.judge_walk", trip_over)

    answer = acting_as("cal").get("yard?unit=NL-15&unit=NL-16")
    assert answer.status_code == 200
    barred, other = answer.json()["results"]
    assert [reason["unit"] for reason in barred["reasons"] if reason["code"] == "record_unreadable"] == ["LR-45"]
    assert barred["answer"] == "barred"
    assert "record_unreadable" not in {reason["code"] for reason in other["reasons"]}
    assert [record for record in caplog.records if record.exc_info and "cannot be weighed" in record.message]


def test_reason_that_cannot_be_worded__says_so_and_the_others_are_worded(
    ninefold: dt.datetime, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    cal = acting_as("cal")
    before = cal.get("yard?unit=NL-15").json()["results"][0]

    def unsayable(row: dict[str, Any]) -> str:
        if row["code"] == "walk_due":
            raise KeyError("why_dunno")
        return ""

    monkeypatch.setattr(reason_messages, "_variant", unsayable)

    now = cal.get("yard?unit=NL-15").json()["results"][0]
    (said,) = {
        reason["says"] for reason in now["reasons"] if reason["code"] == "walk_due" and reason["unit"] == "NL-15"
    }
    assert said == "NL-15: a record cannot be read. Tell an administrator."
    assert [reason["code"] for reason in now["reasons"]] == [reason["code"] for reason in before["reasons"]]
    assert now["answer"] == before["answer"]
    assert [record for record in caplog.records if record.exc_info and "cannot be worded" in record.message]
