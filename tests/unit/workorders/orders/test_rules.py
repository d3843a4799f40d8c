"""The shop's pure rules: whom a task asks for, how far an order is."""

from itertools import product

import pytest

from defects.rules.catalogue.closed_sets import System
from workorders.rules.orders import TaskFact, all_settled, is_deferred, may_close, nothing_left, only_road_tests_left
from workorders.rules.tasks import lacking, scope_of


@pytest.mark.parametrize(
    ("system", "scope"),
    [
        (System.BRAKES, "brakes_repair"),
        (System.AIR_SUPPLY, "brakes_repair"),
        (System.COOLING_CIRCUIT, "refrigerant"),
        (System.COOLING_POWER, "cooling_unit"),
        (System.TIRES, "tires"),
        (System.WHEELS, "tires"),
        (System.LAMPS, ""),
        (System.STEERING, ""),
        (System.BODY, ""),
        (None, ""),
    ],
)
def test_scope__follows_the_system(system: System | None, scope: str) -> None:
    assert scope_of(system, service_brake=False) == scope


def test_scope__of_what_counts_as_a_service_brake_is_brakes_whatever_its_system() -> None:
    assert {scope_of(system, service_brake=True) for system in (*System, None)} == {"brakes_repair"}


@pytest.mark.parametrize(
    ("scope", "held", "needs"),
    [
        ("brakes_repair", [], ["brakes_adjust", "brakes_repair"]),
        ("brakes_repair", ["brakes_inspect"], ["brakes_adjust", "brakes_repair"]),
        ("brakes_repair", ["brakes_adjust"], []),
        ("brakes_repair", ["brakes_repair"], []),
        ("refrigerant", ["cooling_unit"], ["refrigerant"]),
        ("refrigerant", ["refrigerant"], []),
        ("brakes_inspect", ["brakes_repair"], ["brakes_inspect"]),
        ("brakes_inspect", ["brakes_inspect"], []),
        ("periodic_inspection", ["brakes_inspect"], ["periodic_inspection"]),
        ("periodic_inspection", ["periodic_inspection"], []),
        ("cooling_unit", [], []),
        ("tires", [], []),
        ("", [], []),
    ],
)
def test_lacking__only_where_a_rule_asks(scope: str, held: list[str], needs: list[str]) -> None:
    assert lacking(scope, held) == needs


STATES = ("open", "started", "paused", "not_reproduced", "done", "cancelled")
DEFECTS = (None, "reported", "in_repair", "deferred", "certified", "closed", "entered_in_error")


@pytest.mark.parametrize(("task", "defect"), list(product(STATES, DEFECTS)))
def test_may_close__only_with_the_task_done_and_its_defect_repaired(task: str, defect: str | None) -> None:
    expected = task == "done" and defect in {None, "certified", "closed", "entered_in_error"}
    assert may_close([TaskFact(task, defect)]) is expected


@pytest.mark.parametrize(
    ("states", "settled", "nothing", "road_test"),
    [
        ([], False, False, False),
        (["done"], True, False, False),
        (["done", "cancelled"], True, False, False),
        (["cancelled"], False, True, False),
        (["cancelled", "cancelled"], False, True, False),
        (["done", "open"], False, False, False),
        (["not_reproduced"], False, False, True),
        (["not_reproduced", "done"], False, False, True),
        (["not_reproduced", "started"], False, False, False),
        (["not_reproduced", "open"], False, False, False),
        (["paused", "done"], False, False, False),
        (["paused", "not_reproduced"], False, False, False),
    ],
)
def test_how_far_an_order_is(states: list[str], settled: bool, nothing: bool, road_test: bool) -> None:
    facts = [TaskFact(state) for state in states]
    assert (all_settled(facts), nothing_left(facts), only_road_tests_left(facts)) == (settled, nothing, road_test)


def test_a_cancelled_tasks_defect__does_not_keep_the_order_open() -> None:
    assert may_close([TaskFact("done", "certified"), TaskFact("cancelled", "reported")])


@pytest.mark.parametrize(
    ("defect", "certificate", "expected"),
    [
        ("deferred", "repair_unnecessary", True),
        ("in_repair", "repair_unnecessary", True),
        ("in_repair", None, False),
        ("reported", None, False),
        ("certified", "repaired", False),
    ],
)
def test_deferred__also_while_the_shop_works_on_it(defect: str, certificate: str | None, expected: bool) -> None:
    assert is_deferred(defect, certificate) is expected
