"""What /walk says of the grade of a fault at a place is what the receipt says once it is reported there."""

from collections.abc import Iterator
from decimal import Decimal
from itertools import zip_longest
from typing import Any

import pytest
from django.db import transaction

from common import clock
from defects.api.walkarounds.views import MOST_FOUND
from tests.support.acting import acting_as
from tests.support.walks import body, check, dense, put

NAMED = ("NL-14", "LR-44")
STROKE = "brakes.service.pushrod-stroke"
RANKS = ("watch", "next_shop_visit", "before_next_use", "do_not_move")
Asked = tuple[str, dict[str, Any], tuple[str, str]]
"""The unit, one answer to a check of it, and the grade that the walk shows for it."""


def walk() -> Any:
    answer = acting_as("iris").get("walk", tractor=NAMED[0], trailer=NAMED[1], form="full")
    assert answer.status_code == 200, answer.content
    return answer.json()


def fails(limit: dict[str, Any], value: Decimal) -> bool:
    if limit["fails_when"] == "outside":
        return not Decimal(limit["low"]) <= value <= Decimal(limit["high"])
    figure = Decimal(limit["value"])
    return {
        "above": value > figure,
        "at_or_above": value >= figure,
        "below": value < figure,
        "at_or_below": value <= figure,
    }[limit["fails_when"]]


def past(limit: dict[str, Any], step: Decimal) -> Decimal:
    figure = Decimal(limit["value"] or limit["high"])
    return figure + step if fails(limit, figure + step) else figure - step


def findings(stop: dict[str, Any], place: dict[str, Any]) -> Iterator[tuple[dict[str, Any], tuple[str, str]]]:
    for shown in place["findings"]:
        yield (
            check(stop["point"], place["place"], "defect", finding=shown["code"]),
            (shown["severity"], shown["bars"]),
        )


def values(stop: dict[str, Any], place: dict[str, Any]) -> Iterator[tuple[dict[str, Any], tuple[str, str]]]:
    """A value just past each limit, where every limit of the place is known; several it fails give the worst grade."""
    if "measure" not in stop or not all(limit["certain"] for limit in place["limits"]):
        return
    measure = stop["measure"]
    for limit in place["limits"]:
        value = past(limit, Decimal(1).scaleb(-measure.get("decimals", 0)))
        if not Decimal(measure.get("minimum", "0")) <= value <= Decimal(measure["maximum"]):
            continue
        failed = [other for other in place["limits"] if fails(other, value)]
        grave = max(failed, key=lambda other: (RANKS.index(other["severity"]), other["bars"] != "nothing"))
        given = check(
            stop["point"], place["place"], "defect", value=str(value), unit_of_measure=measure["unit_of_measure"]
        )
        listed = any(other["listing"] != "noted" for other in failed) and grave["bars"] not in {"cold_freight", "food"}
        yield given, (grave["severity"], "movement" if listed else grave["bars"])


def rounds(shown: Any, ways: Any) -> Iterator[list[Asked]]:
    """Walks that answer every place once each, until every way to report it was taken; each as long as one may be."""
    asked = [[(stop["unit"], given, grade) for given, grade in ways(stop, place)] for stop, place in dense(shown)]
    for at_once in zip_longest(*asked):
        given = [one for one in at_once if one is not None]
        yield from (given[start : start + MOST_FOUND] for start in range(0, len(given), MOST_FOUND))


def receipt(asked: list[Asked], units: list[str]) -> Any:
    reports = [{"unit": unit, "checks": [given for ref, given, _ in asked if ref == unit]} for unit in units]
    return put(acting_as("iris"), body(reports, finished_at=clock.now(), coupled=True, site="north-yard"))


@pytest.mark.parametrize("ways", [findings, values])
def test_every_way_to_report__graded_by_the_receipt_as_the_walk_showed(ways: Any) -> None:
    shown = walk()
    units = [unit["number"] for unit in shown["units"]]
    compared = 0
    for asked in rounds(shown, ways):
        with transaction.atomic():
            told = receipt(asked, units)
            transaction.set_rollback(True)
        graded = {
            (unit["unit"], found["point"], found["place"]): (found["severity"], found["bars"])
            for unit in told["units"]
            for found in unit["found"]
        }
        expected = {(unit, given["point"], given["place"]): grade for unit, given, grade in asked}
        assert graded == expected
        compared += len(expected)
    assert compared > (400 if ways is findings else 100)


@pytest.mark.parametrize(("unit", "place"), [("NL-14", "axle-1-left"), ("LR-44", "axle-2-right")])
def test_stroke__the_steering_axles_grade_and_the_carriers_rule_stand_at_the_place(unit: str, place: str) -> None:
    here = next(
        here for stop, here in dense(walk()) if (stop["unit"], stop["point"], here["place"]) == (unit, STROKE, place)
    )
    assert {(limit["severity"], limit["bars"]) for limit in here["limits"]} == {("do_not_move", "movement")}
    assert {one["severity"] for one in here["findings"]} == {"do_not_move"}


def test_points__the_carriers_rule_stands_in_the_grade_and_is_no_clause() -> None:
    points = acting_as("iris").get("points", system="brakes").json()["results"]
    stroke = next(point for point in points if point["name"] == STROKE)
    assert {limit["severity"] for limit in stroke["limits"]} == {"do_not_move"}
    assert all(step["when"] for rule in (*stroke["limits"], *stroke["findings"]) for step in rule["raised"])
