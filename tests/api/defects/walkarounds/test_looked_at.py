"""A report is by exception and never by silence: what legs cover, what is counted, what the driver is told of it."""

from datetime import timedelta
from typing import Any

import pytest

from defects.models import Report
from fixtures.scenario.walking import places_of
from fleet.models import Axle, Person, Unit
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.walks import UNITS, body, check, put, walk_list, whole

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
AT = NOON - MINUTE
STOP_LAMP, TURN_LAMP = "lamps.trailer.stop", "lamps.trailer.turn"
TRACTOR, TRAILER, COOLING_UNIT = UNITS


def of(receipt: Any, unit: str = TRAILER) -> Any:
    return next(row for row in receipt["units"] if row["unit"] == unit)


def test_walk__shows_plate_and_the_last_eight_of_the_serial_to_know_the_unit_by() -> None:
    Unit.objects.filter(number=TRAILER).update(plate="TR 4471", plate_state="NE", vin="1M8GDM9AXKP042788")
    Unit.objects.filter(number=COOLING_UNIT).update(serial="CU-0099-4471")

    shown = {unit["number"]: unit for unit in walk_list(acting_as("iris"))["units"]}

    known_by = {
        number: (shown[number]["plate"], shown[number]["plate_state"], shown[number]["serial_ending"])
        for number in (TRAILER, COOLING_UNIT)
    }
    assert known_by == {TRAILER: ("TR 4471", "NE", "KP042788"), COOLING_UNIT: ("", "", "099-4471")}


def test_walk_without_legs_and_answers__never_nothing_found_for_any_unit() -> None:
    receipt = put(acting_as("iris"), body([{"unit": unit} for unit in UNITS], finished_at=AT, coupled=True))

    assert "Nothing found" not in receipt["says"]
    for unit in UNITS:
        looks = of(receipt, unit)["looks"]
        assert (looks["answered"], looks["by_leg"], looks["legs"]) == (0, 0, [])
        assert len(looks["without_answer"]) == looks["required"] > 0
        assert f"{unit}: 0 of {looks['required']} points asked every time have an answer." in receipt["says"]


def test_every_leg_and_what_is_answered_one_by_one__nothing_found() -> None:
    iris = acting_as("iris")

    receipt = put(iris, whole(walk_list(iris), AT))

    assert receipt["says"].startswith("Received. Nothing found.")
    for unit in UNITS:
        looks = of(receipt, unit)["looks"]
        assert looks["without_answer"] == []
        assert 0 < looks["by_leg"] < looks["required"] == looks["answered"]
        assert all(leg["counts"] for leg in looks["legs"])
    assert [item for unit in receipt["units"] for item in unit["flags"]] == []


def test_covered_by_a_leg__never_stored_as_an_answer() -> None:
    iris = acting_as("iris")
    given = whole(walk_list(iris), AT)

    put(iris, given)

    report = Report.objects.get(unit__number=TRAILER)
    sent = next(row for row in given["reports"] if row["unit"] == TRAILER)
    assert [row["point"] for row in report.checks] == [row["point"] for row in sent["checks"]]
    assert [(row["leg"], row["at"]) for row in report.looked_at] == [
        (row["leg"], row["at"]) for row in sent["looked_at"]
    ]
    assert STOP_LAMP not in {row["point"] for row in report.checks}


def test_found_beside_what_is_covered__told_and_not_nothing() -> None:
    iris = acting_as("iris")

    receipt = put(iris, whole(walk_list(iris), AT, {TRAILER: [check(STOP_LAMP, "", "defect")]}))

    assert len(of(receipt)["found"]) == 1
    assert "points have an answer" not in receipt["says"]


def test_sent_again_and_read_again__counted_alike() -> None:
    iris = acting_as("iris")
    given = body([{"unit": TRAILER, "checks": [check(STOP_LAMP)]}], finished_at=AT, coupled=True)
    key = "019cbd00-0000-7000-8000-00000000c0de"

    first = put(iris, given, key=key)  # type: ignore[arg-type]
    again = put(iris, given, key=key, status=200)  # type: ignore[arg-type]

    assert (again["says"], again["units"]) == (first["says"], first["units"])
    assert iris.get(f"walkarounds/{key}").json()["units"] == first["units"]


@pytest.mark.parametrize(
    ("legs", "more", "code"),
    [
        ([{"leg": "moon", "at": AT.isoformat()}], {}, "leg_not_of_this_walk"),
        ([{"leg": "cab", "at": AT.isoformat()}], {}, "leg_not_of_this_walk"),
        ([{"leg": "trailer_left", "at": (AT - DAY).isoformat()}], {}, "leg_time_implausible"),
        ([{"leg": "trailer_left", "at": "at dawn"}], {}, "leg_time_implausible"),
        ([{"leg": "trailer_left"}], {}, "leg_time_implausible"),
        ([{"leg": "trailer_left", "at": AT.isoformat()}], {"catalogue": "0" * 64}, "leg_without_list"),
    ],
)
def test_leg_that_cannot_be_taken__kept_flagged_and_counts_for_nothing(
    legs: list[dict[str, str]], more: dict[str, Any], code: str
) -> None:
    iris = acting_as("iris")
    given = {"catalogue": walk_list(iris)["catalogue"], **more}

    receipt = put(iris, body([{"unit": TRAILER, "looked_at": legs}], finished_at=AT, **given))

    row = of(receipt)
    assert [item["code"] for item in row["flags"]] == [code]
    assert row["flags"][0]["detail"]
    assert (row["looks"]["answered"], row["looks"]["legs"][0]["counts"]) == (0, False)


@pytest.mark.parametrize("at", [f"{AT:%Y-%m-%dt%H:%M:%S}z", f"{AT:%Y-%m-%dT%H:%M:%S}.123456789Z"])
def test_time_as_any_phone_writes_it__read_and_counts(at: str) -> None:
    iris = acting_as("iris")
    given = body([{"unit": TRAILER, "looked_at": [{"leg": "trailer_left", "at": at}]}], finished_at=AT)

    receipt = put(iris, {**given, "catalogue": walk_list(iris)["catalogue"]})

    assert (of(receipt)["flags"], of(receipt)["looks"]["legs"][0]["counts"]) == ([], True)


def test_no_list_named__no_leg_counts() -> None:
    at = AT.isoformat()

    receipt = put(
        acting_as("iris"), body([{"unit": TRAILER, "looked_at": [{"leg": "trailer_left", "at": at}]}], finished_at=AT)
    )

    assert [item["code"] for item in of(receipt)["flags"]] == ["leg_without_list"]


def test_named_twice__the_legs_of_both_count() -> None:
    iris = acting_as("iris")
    at = AT.isoformat()
    reports = [{"unit": TRAILER, "looked_at": [{"leg": leg, "at": at}]} for leg in ("trailer_left", "trailer_rear")]

    receipt = put(iris, body(reports, finished_at=AT, catalogue=walk_list(iris)["catalogue"]))

    assert [leg["leg"] for leg in of(receipt)["looks"]["legs"]] == ["trailer_left", "trailer_rear"]


# What a leg does not answer


def test_open_fault__its_place_is_answered_one_by_one_in_list_and_receipt() -> None:
    iris = acting_as("iris")
    put(iris, body([{"unit": TRAILER, "checks": [check(TURN_LAMP, "left", "defect")]}], finished_at=AT - MINUTE))

    listed = walk_list(iris)
    by = {place["place"]: place["answered_by"] for point, place in places_of(listed) if point["point"] == TURN_LAMP}
    assert by == {"left": "one_by_one", "right": "leg"}

    given = whole(listed, AT)
    for report in given["reports"]:
        report["checks"] = [row for row in report.get("checks", ()) if row["point"] != TURN_LAMP]
    assert of(put(iris, given))["looks"]["without_answer"] == [
        {"point": TURN_LAMP, "place": "left", "why": "no_answer"}
    ]


# A trailer alone


def test_trailer_alone__nothing_listed_that_does_not_apply_uncoupled() -> None:
    mara = acting_as("mara")
    listed = walk_list(mara, tractor=None, trailer="LR-47")
    assert listed["coupled"] is False

    answers = [
        check(point["point"], place["place"])
        for point, place in places_of(listed)
        if point["unit"] == "LR-47" and "measure" not in point and point.get("may_answer", True)
    ]
    receipt = put(mara, body([{"unit": "LR-47", "checks": answers}], finished_at=AT, coupled=False))

    assert of(receipt, "LR-47")["flags"] == []
    assert STOP_LAMP not in {stop["point"] for stop in listed["points"]}


@pytest.mark.parametrize(("coupled", "shown"), [("true", True), ("false", False)])
def test_coupled_asked_for__what_runs_coupled_is_listed_or_not(coupled: str, shown: bool) -> None:
    answer = acting_as("mara").get("walk", trailer="LR-47", coupled=coupled).json()

    assert (STOP_LAMP in {stop["point"] for stop in answer["points"]}) is shown


def test_coupled_in_other_words__refused() -> None:
    answer = acting_as("mara").get("walk", trailer="LR-47", coupled="perhaps")

    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter")


def test_legs_and_the_sentence_to_sign__in_the_readers_language() -> None:
    iris = acting_as("iris")
    listed = walk_list(iris)
    assert listed["to_sign"].startswith("I looked at these legs and found nothing but what I list. ")
    assert {row["unit"] for row in listed["legs"]} == set(UNITS)
    for row in listed["legs"]:
        assert row["stops"]

    Person.objects.filter(username="iris").update(language="es")

    assert walk_list(iris)["to_sign"].startswith("Revisé estos tramos")


@pytest.mark.parametrize(
    ("shown", "counts"),
    [
        ("I looked at these legs and found nothing but what I list.", True),
        ("Revisé estos tramos", False),
        ("NL: I  LOOKED AT these legs\nand found nothing but what I list. Sol", True),
        ("I sign.", False),
    ],
)
def test_leg__counts_only_under_the_sentence_that_says_what_it_is(shown: str, counts: bool) -> None:
    iris = acting_as("iris")
    given = body([{"unit": TRAILER, "looked_at": [{"leg": "trailer_left", "at": AT.isoformat()}]}], finished_at=AT)
    given["catalogue"] = walk_list(iris)["catalogue"]
    given["signature"]["shown"] = shown

    row = of(put(iris, given))

    assert [item["code"] for item in row["flags"]] == ([] if counts else ["leg_without_sentence"])
    assert row["looks"]["legs"][0]["counts"] is counts


def test_sentence_of_the_legs__in_the_drivers_language_counts() -> None:
    wen = acting_as("wen")
    listed = walk_list(wen)
    given = body([{"unit": TRAILER, "looked_at": [{"leg": "trailer_left", "at": AT.isoformat()}]}], finished_at=AT)
    given["catalogue"], given["signature"]["shown"] = listed["catalogue"], listed["to_sign"]

    assert "I looked at these legs" not in listed["to_sign"]
    assert of(put(wen, given))["looks"]["legs"][0]["counts"] is True


def test_axles_not_recorded__silence_at_the_usual_ones_is_silence_all_the_same() -> None:
    iris = acting_as("iris")
    silent = body([{"unit": TRAILER}], finished_at=AT)
    known = of(put(iris, silent))["looks"]["required"]
    Axle.objects.filter(unit__number=TRAILER).delete()

    looks = of(put(iris, silent))["looks"]

    assert looks["required"] == known == len(looks["without_answer"])
    assert {"axle-1-left", "axle-2-right"} <= {row["place"] for row in looks["without_answer"]}


def test_axles_not_recorded__every_leg_answers_for_the_usual_ones() -> None:
    Axle.objects.filter(unit__number=TRAILER).delete()
    iris = acting_as("iris")

    looks = of(put(iris, whole(walk_list(iris), AT)))["looks"]

    assert looks["without_answer"] == []
    assert looks["required"] == looks["answered"] > 60
