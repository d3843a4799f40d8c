"""Pests, residue and odor keep food out of a box, cold or dry, until it is cleaned and looked at again."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from common.errors import Conflict
from defects.models import Defect, LoadAtRisk
from defects.rules.catalogue.catalogue import load_catalogue
from defects.selectors.clearance.reason_messages import Reader, reason_words
from defects.services.loads.loads import edit_load
from fleet.models import Notification
from tests.support.dock import Dock, codes, reason, unknowns
from tests.support.refusals import refused
from tests.support.submissions import answer_to
from workorders.models import RepairTask

CLEAN = "inside.cleanliness"


def box(dock: Dock, answer: str = "defect", finding: str = "") -> list[Defect]:
    return dock.walk("sol", unit=dock.trailer, checks=[answer_to(CLEAN, answer, finding=finding)])


def says(row: dict[str, Any]) -> str:
    return reason_words(row, Reader(load_catalogue(), dt.UTC, "en"))


@pytest.mark.parametrize("finding", ["pest_sign", "residue_or_odor"])
@pytest.mark.parametrize("kind", ["frozen", "dry"])
def test_food__barred_whether_cold_or_dry_until_looked_at_again(dock: Dock, kind: str, finding: str) -> None:
    load = dock.load("F-1", kind)
    box(dock, finding=finding)
    asked = dock.ask(load="F-1")
    assert (asked.answer, codes(asked)) == ("barred", ["food_defect"])
    said = says(reason(asked, "food_defect"))
    assert said.endswith(". No food, cold or dry. Clean the box, look and smell, then answer it again.")
    with refused(Conflict, "cold_loading_barred" if kind == "frozen" else "food_loading_barred"):
        dock.put(load)
    assert RepairTask.objects.count() == 0

    box(dock, "fine")

    assert dock.ask(load="F-1").answer == "nothing_known_against"
    assert dock.put(load).loaded_at is not None


def test_wrong_or_broken_seal__puts_the_food_at_risk_and_bars_more_food(dock: Dock) -> None:
    """Told on the walk, it must reach dispatch as one that is read to the documents does."""
    dock.put(dock.load("F-1", "dry", seal="S-1"))
    dock.later()
    dock.walk("sol", unit=dock.trailer, checks=[answer_to("doors.seal-number", "defect")])
    assert LoadAtRisk.objects.get().load.number == "F-1"
    assert dock["cal"] in {notification.person for notification in Notification.objects.filter(kind="load_at_risk")}
    dock.load("F-2", "dry")
    said = says(reason(dock.ask(load="F-2"), "food_defect"))
    assert said.endswith("seal broken. No food, cold or dry. Do not open it; call dispatch, then answer it again.")


def test_freight_that_is_no_food__goes(dock: Dock) -> None:
    load = dock.load("T-1", "dry", food=False)
    box(dock)
    assert dock.ask(load="T-1").answer == "nothing_known_against"
    assert dock.put(load).loaded_at is not None


def test_load_not_named__said_as_not_known(dock: Dock) -> None:
    box(dock)
    assert unknowns(dock.ask()) == ["food_defect_load_unknown"]


def test_found_over_dry_food__load_at_risk_and_no_temperature_named(dock: Dock) -> None:
    dock.put(dock.load("F-1", "dry"))
    dock.later()
    [defect] = box(dock, finding="pest_sign")
    assert LoadAtRisk.objects.get().defect == defect
    assert {notification.code for notification in Notification.objects.filter(kind="load_at_risk")} == {
        "dry_load_at_risk"
    }
    assert codes(dock.ask()) == ["load_at_risk_undecided"]


def test_found_over_freight_that_is_no_food__puts_nothing_at_risk(dock: Dock) -> None:
    dock.put(dock.load("T-1", "dry", food=False))
    dock.later()
    box(dock)
    assert not LoadAtRisk.objects.exists()


def test_cooling_fault__puts_dry_food_at_no_risk(dock: Dock) -> None:
    dock.put(dock.load("F-1", "dry"))
    dock.later()
    dock.cold_fault()
    assert not LoadAtRisk.objects.exists()


def test_load_changed_to_food_while_aboard__is_refused_where_food_is_barred(dock: Dock) -> None:
    box(dock)
    dock.later()
    load = dock.put(dock.load("T-1", "dry", food=False))
    with refused(Conflict, "food_loading_barred"):
        edit_load(load_id=load.pk, version=load.version, changes={"food": True}, actor=dock["cal"], now=dock.now)


def test_cold_food__at_risk_once_for_both_faults(dock: Dock) -> None:
    dock.put(dock.load(setpoint_f=Decimal(-10)))
    dock.later()
    dock.cold_fault()
    box(dock)
    assert LoadAtRisk.objects.count() == 1
