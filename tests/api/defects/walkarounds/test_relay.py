"""A relay changes the driver and a team has two: whose walk-around serves whom, and that the combination stays."""

from typing import Any

from fleet.models import Coupling, Whereabouts
from tests.factories.fleet import HOUR, NOON
from tests.support.acting import acting_as
from tests.support.walks import UNITS, body, put

TRACTOR, TRAILER, _ = UNITS


def walk(by: str, hours: int, **more: Any) -> None:
    given = body([{"unit": unit} for unit in UNITS], finished_at=NOON - hours * HOUR, coupled=True, **more)
    put(acting_as(by), given)


def due_for(driver: str) -> set[str]:
    """Why the walk is due, with this driver; empty where it is not."""
    given = {"units": [TRACTOR, TRAILER], "arrival": (NOON + 9 * HOUR).isoformat()}
    answer = acting_as(driver).post("clearances", given)
    assert answer.status_code == 201, answer.content
    return {row["facts"]["why"] for row in answer.json()["reasons"] if row["code"] == "walk_due"}


def test_relay__the_next_driver_walks_anew_and_the_combination_stays() -> None:
    walk("iris", 2)
    before = set(Coupling.objects.filter(ended_at__isnull=True).values_list("pk", flat=True))

    assert before
    assert (due_for("iris"), due_for("sol")) == (set(), {"another_driver"})
    walk("sol", 1)
    assert due_for("sol") == set()
    assert set(Coupling.objects.filter(ended_at__isnull=True).values_list("pk", flat=True)) == before
    assert set(Whereabouts.objects.values_list("location", flat=True)) == {"under_way"}


def test_team__the_walk_that_one_signed_serves_both() -> None:
    walk("iris", 2, team_mate="sol")

    assert (due_for("iris"), due_for("sol")) == (set(), set())


def test_tractor_alone__walked_alone_and_under_way_without_its_trailer() -> None:
    put(acting_as("iris"), body([{"unit": TRACTOR}], finished_at=NOON - HOUR, coupled=True))

    assert set(Whereabouts.objects.values_list("unit__number", "location")) == {(TRACTOR, "under_way")}
