"""Cooling readings and forecasts over HTTP."""

import datetime as dt

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import CoolingReading
from fleet.services.cooling.learning import learn_from_readings
from tests.factories.fleet import NOON, make_unit
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.usefixtures("carrier")
PATH = "cooling-units/CU-41/readings"


@pytest.fixture
def driver() -> Device:
    make_unit(UnitKind.COOLING_UNIT, "CU-41")
    return acting_as(Role.DRIVER)


def body(*readings: dict[str, object], scale: str = "degF", source: str = "phone") -> dict[str, object]:
    return {"source": source, "unit_of_measure": scale, "readings": list(readings)}


def minutes_ago(minutes: int, **said: object) -> dict[str, object]:
    return {"read_at": (NOON - dt.timedelta(minutes=minutes)).isoformat(), **said}


def test_reading_in_celsius__stands_exactly_in_fahrenheit(driver: Device) -> None:
    told = driver.post(PATH, body(minutes_ago(5, setpoint="-20.5", alarms=["stop"], mode="cycling"), scale="degC"))
    assert (told.status_code, told.json()) == (201, {"taken": 1, "flagged": 0, "on_record": [], "differing": []})
    [row] = driver.get(PATH).json()["results"]
    assert (row["setpoint_f"], row["given_in"], row["alarms"], row["mode"]) == ("-4.90", "degC", ["stop"], "cycling")
    assert row["read_at"] == "2026-03-06T17:55:00Z"


def test_thousand_readings__are_taken_and_more_refused_with_the_limit(driver: Device) -> None:
    given = [minutes_ago(n + 1, return_air="35.0") for n in range(1001)]
    refused = driver.post(PATH, body(*given, source="recorder"))
    assert (refused.status_code, codes(refused)) == (422, [("/readings", "too_many")])
    assert refused.json()["errors"][0]["detail"] == "At most 1000 may be sent at once."
    assert driver.post(PATH, body(*given[:1000], source="recorder")).json()["taken"] == 1000
    assert CoolingReading.objects.count() == 1000


@pytest.mark.parametrize(
    ("reading", "problem"),
    [
        ({"setpoint": "34.55"}, ("/readings/0/setpoint", "max_decimal_places")),
        ({"mode": "defrost"}, ("/readings/0/mode", "invalid_choice")),
        ({"engine_h": "-1"}, ("/readings/0/engine_h", "min_value")),
        ({"humidity": "80"}, ("/readings/0/humidity", "unknown_field")),
    ],
)
def test_what_cannot_be_read__is_refused_at_its_place(
    driver: Device, reading: dict[str, object], problem: tuple[str, str]
) -> None:
    answer = driver.post(PATH, body(minutes_ago(5, **reading)))
    assert (answer.status_code, codes(answer)) == (422, [problem])


def test_desk__is_told_the_range_in_its_own_scale(driver: Device) -> None:
    answer = driver.post(PATH, body(minutes_ago(5, setpoint="60.0"), scale="degC", source="desk"))
    assert codes(answer) == [("/readings/0/setpoint", "figure_implausible")]
    assert answer.json()["errors"][0]["detail"] == "This is out of range: -40.0 to 32.2."
    assert driver.post(PATH, body(minutes_ago(5, setpoint="60.0"), scale="degC")).json()["flagged"] == 1


def test_same_temperature_in_the_other_scale__is_on_record(driver: Device) -> None:
    driver.post(PATH, body(minutes_ago(5, box="50.0")))
    again = driver.post(PATH, body(minutes_ago(5, box="10.0"), scale="degC")).json()
    other = driver.post(PATH, body(minutes_ago(5, box="10.1"), scale="degC")).json()
    assert [(each["on_record"], each["differing"]) for each in (again, other)] == [([0], []), ([], [0])]


def test_walks_readings__come_with_the_walk_around_alone(driver: Device) -> None:
    answer = driver.post(PATH, body(minutes_ago(5), source="walk"))
    assert codes(answer) == [("/source", "invalid_choice")]


def test_list__is_cut_by_time_source_and_state(driver: Device) -> None:
    driver.post(PATH, body(minutes_ago(90), minutes_ago(30, fuel_gal="900.0")))
    since = (NOON - dt.timedelta(hours=1)).isoformat()
    assert [len(driver.get(PATH, **query).json()["results"]) for query in ({}, {"since": since})] == [2, 1]
    [aside] = driver.get(PATH, state="set_aside", source="phone").json()["results"]
    assert (aside["flag"], aside["fuel_gal"]) == ("implausible", "900.0")
    assert aside["flag_says"] == "No cooling unit shows such a figure. Read it again."


def test_forecast__says_that_readings_are_too_few_and_never_a_number(driver: Device) -> None:
    assert driver.get("cooling-units/CU-41/forecast").json()["code"] == "forecast_unknown"
    driver.post(PATH, body(minutes_ago(5, return_air="36.2", fuel_gal="30.0", engine_h="100.0")))
    assert driver.get("cooling-units/CU-41/forecast").json()["code"] == "forecast_being_worked_out"
    learn_from_readings(now=NOON)
    told = driver.get("cooling-units/CU-41/forecast").json()
    assert (told["air_f"], told["fuel_gal"], told["fuel_lost"]) == ("36.20", "30.0", None)
    few = {"readings": 0, "not_enough_readings": True}
    assert told["burn"] == {**few, "gal_per_h": None, "most_in_a_day_gal": None}
    assert told["pull_down"] == {**few, "floor_f": None, "tau_h": None}
    assert told["leakage"] == {**few, "tau_h": None, "change_in_30_days_h": None}
    assert told["air_drop"] == {**few, "mean_f": None, "least_f": None}


def test_forecast__tells_the_burn_and_fuel_that_went(driver: Device) -> None:
    steps = [minutes_ago(3000 - 300 * n, engine_h=str(100 + 5 * n), fuel_gal=str(60 - 4 * n)) for n in range(7)]
    gone = minutes_ago(60, engine_h="130", fuel_gal="10")
    driver.post(PATH, body(*steps, gone))
    learn_from_readings(now=NOON)
    told = driver.get("cooling-units/CU-41/forecast").json()
    assert told["burn"] == {
        "readings": 6,
        "not_enough_readings": False,
        "gal_per_h": "0.800",
        "most_in_a_day_gal": "19.2",
    }
    assert (told["fuel_lost"]["gallons"], told["fuel_lost"]["until"]) == ("24.0", "2026-03-06T17:00:00Z")
    assert (told["newest_at"], told["being_worked_out"]) == ("2026-03-06T17:00:00Z", False)
    driver.post(PATH, body(minutes_ago(5, fuel_gal="9")))
    told = driver.get("cooling-units/CU-41/forecast").json()
    assert (told["newest_at"], told["fuel_gal"], told["being_worked_out"]) == ("2026-03-06T17:00:00Z", "10.0", True)


def test_trailer__has_no_readings(driver: Device) -> None:
    make_unit(UnitKind.TRAILER, "LR-41")
    for path in ("readings", "forecast"):
        assert driver.get(f"cooling-units/LR-41/{path}").status_code == 404
    assert driver.post("cooling-units/LR-41/readings", body(minutes_ago(5))).status_code == 404


def test_desk__is_told_every_wrong_figure_of_a_reading(driver: Device) -> None:
    answer = driver.post(PATH, body(minutes_ago(5, setpoint="120.0", fuel_gal="900.0"), source="desk"))
    assert codes(answer) == [
        ("/readings/0/setpoint", "figure_implausible"),
        ("/readings/0/fuel_gal", "figure_implausible"),
    ]
