"""A drop walk-around says where units were left and how; the next driver reads it, and picking up ends it."""

from typing import Any

import pytest

from defects.models import Report, Walkaround
from fleet.models import CoolingForecast, Unit, Whereabouts
from tests.factories.fleet import HOUR, NOON, CoolingForecastFactory
from tests.support.acting import acting_as
from tests.support.walks import UNITS, body, put, walk_list

TRACTOR, TRAILER, COOLING_UNIT = UNITS
LEFT = {
    "location": "customer",
    "address": "Maple Cold, door 4",
    "legs_down": True,
    "doors_closed": False,
    "mode": "cycling",
    "fuel_gal": "22.5",
    "seal": "A-1",
    "note": "The left door sticks.",
}


def drop(left: Any = LEFT, unit: str = TRAILER, **more: Any) -> Any:
    reports = [{"unit": unit, "left": left}]
    return put(acting_as("iris"), body(reports, finished_at=NOON - HOUR, kind="drop", **more))


def test_fuel_gone_beyond_its_hours__is_read_on_the_pick_up_form_alone() -> None:
    unit = Unit.objects.get(number=COOLING_UNIT)
    CoolingForecastFactory.create(unit=unit, lost_gal="26.2", lost_until=NOON - 71 * HOUR)
    said = [{"unit": COOLING_UNIT, "says": ["26.2 gal of fuel gone beyond its hours. Look for a leak."]}]
    assert walk_list(acting_as("greta"), form="pick_up")["left"] == said
    assert "left" not in walk_list(acting_as("greta"))
    CoolingForecast.objects.update(lost_until=NOON - 73 * HOUR)
    assert "left" not in walk_list(acting_as("greta"), form="pick_up")


def newest(unit: str = TRAILER) -> str:
    return Whereabouts.objects.filter(unit__number=unit).order_by("-since", "-pk")[0].location


def test_drop__recorded_as_the_driver_left_it() -> None:
    drop()

    row = Whereabouts.objects.get(unit__number=TRAILER)
    assert (row.location, row.address, row.walkaround_id) == ("customer", LEFT["address"], Walkaround.objects.get().pk)
    assert (row.legs_down, row.doors_closed, row.mode, str(row.fuel_gal)) == (True, False, "cycling", "22.5")
    assert (row.seal, row.note, row.since) == ("A-1", LEFT["note"], NOON - HOUR)


def test_cooling_unit_of_which_nothing_is_said__is_where_its_trailer_is() -> None:
    drop()

    row = Whereabouts.objects.get(unit__number=COOLING_UNIT)
    assert (row.location, row.address, row.note, row.mode) == ("customer", LEFT["address"], "", "")
    put(acting_as("iris"), body([{"unit": TRAILER}], finished_at=NOON, kind="pick_up"))
    assert newest(COOLING_UNIT) == "under_way"


def test_cooling_unit_that_was_left_by_a_word_of_its_own__is_there() -> None:
    reports = [
        {"unit": TRAILER, "left": LEFT},
        {"unit": COOLING_UNIT, "left": {"location": "dealer", "address": "Oto"}},
    ]
    put(acting_as("iris"), body(reports, finished_at=NOON - HOUR, kind="drop"))

    assert newest(COOLING_UNIT) == "dealer"


def test_next_driver__reads_it_on_the_pick_up_form_alone() -> None:
    drop()

    listed = walk_list(acting_as("greta"), form="pick_up")
    assert listed["left"] == [
        {
            "unit": TRAILER,
            "says": [
                "LR-45 was left at a customer's, Maple Cold, door 4, on Fri 6 Mar 11:00 AM.",
                "Landing legs: down.",
                "Doors left open: look inside before you close them.",
                "Cooling unit left in mode start-stop: compare it with the order.",
                "Fuel left for the cooling unit: 22.5 gal.",
                "Seal left on the doors: A-1. Compare it before you roll.",
                "Note from the driver who left it: The left door sticks.",
            ],
        }
    ]
    assert "left" not in walk_list(acting_as("greta"))


def test_picked_up__under_way_and_nothing_more_to_read() -> None:
    drop()
    put(acting_as("greta"), body([{"unit": unit} for unit in UNITS], finished_at=NOON, kind="pick_up", coupled=True))

    assert newest() == "under_way"
    assert "left" not in walk_list(acting_as("greta"), form="pick_up")


def test_coupled_and_walked_before_a_trip__under_way() -> None:
    drop()
    put(acting_as("greta"), body([{"unit": unit} for unit in UNITS], finished_at=NOON, coupled=True))

    assert newest() == "under_way"


def test_late_drop__changes_nothing_of_where_the_unit_is_now() -> None:
    put(acting_as("greta"), body([{"unit": TRAILER}], finished_at=NOON, kind="pick_up"))
    drop()

    assert newest() == "under_way"


def test_drop_at_a_site_of_ours__there_without_another_word() -> None:
    site = acting_as("iris").get("sites").json()["results"][0]["code"]
    put(acting_as("iris"), body([{"unit": TRAILER}], finished_at=NOON, kind="drop", site=site))

    row = Whereabouts.objects.select_related("site").get(unit__number=TRAILER)
    assert (row.location, row.site and row.site.code) == ("site", site)


@pytest.mark.parametrize("left", ["", [], {"location": "moon"}, {"location": "site", "site": "none of ours"}, {}])
def test_odd__never_refused(left: Any) -> None:
    drop(left)

    assert Report.objects.count() == 1
    assert list(Whereabouts.objects.filter(unit__number=TRAILER).values_list("location", "address")) in (
        [],
        [("site", "none of ours")],
    )


def test_unit_that_is_not_known__flagged() -> None:
    drop(unit="NO-1")

    assert not Whereabouts.objects.exists()
    flag = next(flag for flag in Report.objects.get().flags if flag["code"] == "left_without_unit")
    assert flag["facts"] == {"unit": "NO-1", "left": LEFT}


def assign(unit: str = TRAILER) -> Any:
    answer = acting_as("hob").post(f"reports/{Report.objects.get().pk}/assign-unit", {"unit": unit})
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_unit_that_is_known_later__was_left_as_the_driver_said() -> None:
    drop(unit="NO-1")

    assert [flag["code"] for flag in assign()["flags"]] == []
    row = Whereabouts.objects.get(unit__number=TRAILER)
    assert (row.unit.number, row.location, row.address) == (TRAILER, "customer", LEFT["address"])
    assert (row.legs_down, row.doors_closed, row.mode, str(row.fuel_gal)) == (True, False, "cycling", "22.5")
    assert (row.seal, row.note, row.since) == ("A-1", LEFT["note"], NOON - HOUR)
    assert (row.walkaround_id, row.recorded_by.username) == (Walkaround.objects.get().pk, "iris")


@pytest.mark.parametrize("left", [{"location": "moon"}, {}, {"location": "customer", "fuel_gal": "many", "mode": "x"}])
def test_odd_word_on_a_unit_that_is_known_later__what_can_be_read_is_kept(left: Any) -> None:
    drop(left, unit="NO-1")
    assign()

    assert list(Whereabouts.objects.filter(unit__number=TRAILER).values_list("location", "fuel_gal", "mode")) == (
        [("customer", None, "")] if left.get("location") == "customer" else []
    )


def test_unit_of_a_pick_up_that_is_known_later__is_under_way() -> None:
    put(acting_as("iris"), body([{"unit": "NO-1"}], finished_at=NOON - HOUR, kind="pick_up"))
    assign()

    assert newest() == "under_way"


def asked() -> list[Any]:
    given = {"units": [TRACTOR, TRAILER], "arrival": (NOON + 9 * HOUR).isoformat()}
    answer = acting_as("cal").post("clearances", given)
    assert answer.status_code == 201, answer.content
    return [row for row in answer.json()["left_open"] if row["code"] == "unit_left"]


def test_next_combination__its_answer_says_how_the_unit_was_left_until_it_is_picked_up() -> None:
    drop()
    [row] = asked()
    assert row["unit"] == TRAILER
    assert row["says"].startswith("LR-45 was left at a customer's, Maple Cold, door 4, on Fri 6 Mar 11:00 AM. Landing")
    assert row["says"].endswith("Note from the driver who left it: The left door sticks.")
    assert (row["facts"]["fuel_gal"], row["facts"]["legs_down"]) == ("22.5", True)

    put(acting_as("greta"), body([{"unit": unit} for unit in UNITS], finished_at=NOON, kind="pick_up", coupled=True))
    assert asked() == []


def test_at_a_site_of_ours__said_only_with_how_it_was_left() -> None:
    site = acting_as("iris").get("sites").json()["results"][0]["code"]
    drop({"location": "site", "site": site})
    assert asked() == []

    put(
        acting_as("iris"),
        body(
            [{"unit": TRAILER, "left": {"location": "site", "site": site, "legs_down": False}}],
            finished_at=NOON,
            kind="drop",
        ),
    )
    assert [row["says"].partition(". ")[2] for row in asked()] == [
        "Landing legs not down: look at them before you couple."
    ]
