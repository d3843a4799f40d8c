"""A relay changes the driver and a team has two: whose walk-around and review serve whom; the combination stays."""

from typing import Any

from defects.models import Defect
from fleet.models import Coupling, Whereabouts
from tests.factories.fleet import HOUR, NOON
from tests.support.acting import acting_as
from tests.support.defects import MINUTE, PLATE_LAMP, certified, lamp_out, owed, review, reviewed
from tests.support.walks import UNITS, body, check, put

STOP_LAMPS = "lamps.trailer.stop"

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


def pending(username: str) -> tuple[int, int]:
    """How many reports and certificates of the trailer a driver is to read and sign for (396.13)."""
    due = owed(username, TRAILER)["units"]
    return sum(len(unit["reports"]) for unit in due), sum(len(unit["certificates"]) for unit in due)


def test_relay__whoever_takes_over_reads_and_signs_once_and_the_driver_before_has_no_part_in_it() -> None:
    certified("greta", lamp_out("iris", number=TRAILER))
    assert (pending("sol"), pending("mara")) == ((1, 1), (1, 1))

    reviewed("sol", TRAILER)

    assert (pending("sol"), pending("mara"), pending("iris")) == ((0, 0),) * 3
    later = body([{"unit": TRAILER, "checks": [check(STOP_LAMPS, "", "defect")]}], finished_at=NOON - MINUTE)
    put(acting_as("sol"), later)
    assert [len(owed("mara", TRAILER)["units"][0][name]) for name in ("reports", "missing")] == [1, 1]
    assert review("mara", TRAILER).status_code == 409  # without its certificate nobody may drive


def test_team__one_signs_the_report_and_one_the_review_for_both() -> None:
    given = body(
        [{"unit": TRAILER, "checks": [check(PLATE_LAMP, "", "defect")]}], finished_at=NOON - HOUR, team_mate="sol"
    )
    put(acting_as("iris"), given)
    certified("greta", Defect.objects.get())
    assert (pending("iris"), pending("sol")) == ((1, 1), (1, 1))

    reviewed("sol", TRAILER)

    assert (pending("iris"), pending("sol")) == ((0, 0), (0, 0))
