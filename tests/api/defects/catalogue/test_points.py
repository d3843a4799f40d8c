"""The catalogue and the walk over HTTP: what to look at, within which limits, in one's own language."""

from typing import Any

import pytest

from common.canonical import canonical_json
from defects.rules.catalogue.catalogue import load_catalogue
from fleet.enums import UnitKind
from tests.factories.defects import CatalogueVersionFactory
from tests.factories.fleet import make_mounting, make_unit
from tests.support.acting import acting_as, codes
from tests.support.yard import PLACE, STROKE, Yard

pytestmark = pytest.mark.usefixtures("yard")


def points(**query: str) -> Any:
    answer = acting_as("iris").get("points", **query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_points__whole_catalogue_in_walking_order_with_the_carriers_own_rules() -> None:
    body = points()

    names = [point["name"] for point in body["results"]]
    assert names == list(load_catalogue().points)
    assert body["catalogue"] != load_catalogue().content_hash
    stroke = next(point for point in body["results"] if point["name"] == STROKE)
    assert {step["severity"] for limit in stroke["limits"] for step in limit["raised"]} == {"do_not_move"}
    long24 = next(limit for limit in stroke["limits"] if limit["id"] == "type-24-long")
    assert (long24["value"], long24["fails_when"], long24["source"]) == (
        "2",
        "above",
        {"section": "49 CFR 393.47(e)", "basis": "read"},
    )
    assert {"fact": "chamber_type", "values": ["24"]} in long24["when"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"unit_kind": "cooling_unit"}, lambda point: "cooling_unit" in point["unit_kinds"]),
        ({"system": "brakes"}, lambda point: point["system"] == "brakes"),
        ({"subsystem": "brakes.friction"}, lambda point: point["subsystem"] == "brakes.friction"),
        ({"authority": "carrier"}, lambda point: point["authority"] == "carrier"),
        ({"leg": "coupling"}, lambda point: point["leg"] == "coupling"),
        (
            {"unit_kind": "trailer", "system": "tires"},
            lambda point: "trailer" in point["unit_kinds"] and point["system"] == "tires",
        ),
    ],
)
def test_filters__exactly_the_points_that_fit(query: dict[str, str], expected: Any) -> None:
    everything = points()["results"]
    found = points(**query)["results"]
    assert 0 < len(found) < len(everything)
    assert found == [point for point in everything if expected(point)]


@pytest.mark.parametrize(("parameter", "word"), [("system", "wings"), ("subsystem", "brakes.wings")])
def test_unknown_word__refused_at_its_parameter(parameter: str, word: str) -> None:
    refused = acting_as("iris").get("points", **{parameter: word})
    assert (refused.status_code, codes(refused)) == (400, [(parameter, "invalid_choice")])


@pytest.mark.parametrize(
    ("language", "part"),
    [("en", "Brakes: linings, drums and rotors"), ("es", "Frenos: forros, tambores y discos")],
)
def test_system_and_subsystem__in_words_of_the_reader(yard: Yard, language: str, part: str) -> None:
    yard["sol"].language = language
    yard["sol"].save()
    (lining,) = [
        point
        for point in acting_as("sol").get("points", subsystem="brakes.friction").json()["results"]
        if point["name"] == "brakes.service.lining"
    ]
    assert (lining["system"], lining["subsystem"], lining["part"]) == ("brakes", "brakes.friction", part)


def test_same_catalogue_again__not_modified() -> None:
    first = acting_as("iris").get("points")
    assert first.headers["ETag"] == f'"{first.json()["catalogue"]}-en"'
    again = acting_as("iris").send("GET", "points", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_another_language__other_words_and_another_tag(yard: Yard) -> None:
    yard["sol"].language = "es"
    yard["sol"].save()
    english, spanish = acting_as("iris").get("points"), acting_as("sol").get("points")
    assert spanish.json()["language"] == "es"
    assert spanish.headers["ETag"] != english.headers["ETag"]
    both = zip(english.json()["results"], spanish.json()["results"], strict=True)
    titles = [(one["title"], other["title"]) for one, other in both]
    assert all(one and other for one, other in titles)
    assert sum(one != other for one, other in titles) > len(titles) * 0.9


def test_older_catalogue__by_its_hash_as_it_stood() -> None:
    old = load_catalogue()
    CatalogueVersionFactory.create(content_hash=old.content_hash, document=canonical_json(old.to_document()).decode())
    body = points(catalogue=old.content_hash)
    assert body["catalogue"] == old.content_hash
    stroke = next(point for point in body["results"] if point["name"] == STROKE)
    long24 = next(limit for limit in stroke["limits"] if limit["id"] == "type-24-long")
    assert long24["severity"] == "before_next_use"


def test_catalogue_never_in_force__refused() -> None:
    missing = acting_as("iris").get("points", catalogue="0" * 64)
    [error] = missing.json()["errors"]
    assert (missing.status_code, error["parameter"], error["code"]) == (400, "catalogue", "catalogue_unknown")


# The walk over one combination


def walk(by: str = "iris", **query: str) -> Any:
    answer = acting_as(by).get("walk", **query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def stop(body: Any, point: str, unit: str = "LR-46") -> Any:
    return next(stop for stop in body["points"] if (stop["point"], stop["unit"]) == (point, unit))


def test_walk__legs_in_order_and_the_mounted_cooling_unit_by_itself(yard: Yard) -> None:
    make_mounting(yard.trailer, make_unit(UnitKind.COOLING_UNIT, "CU-46"))

    body = walk(tractor="NL-15", trailer="lr-46")

    assert [unit["number"] for unit in body["units"]] == ["NL-15", "LR-46", "CU-46"]
    legs = list(dict.fromkeys(leg["leg"] for leg in body["legs"]))
    order = [
        "approach",
        "engine_bay",
        "tractor_front",
        "tractor_left",
        "coupling",
        "trailer_left",
        "trailer_rear",
        "trailer_right",
        "tractor_right",
        "inside_box",
        "cooling_unit",
        "cab",
        "brake_tests",
    ]
    assert legs == order
    assert {stop["unit"] for stop in body["points"]} == {"NL-15", "LR-46", "CU-46"}
    assert all(stop["title"] and stop["ask"] for stop in body["points"])


def test_place__its_own_limit_last_value_with_its_age_and_open_defects(yard: Yard) -> None:
    defect = yard.stroke("2.31")

    body = walk(trailer="LR-46")

    found = stop(body, STROKE)
    assert [place["place"] for place in found["places"]] == [
        "axle-1-left",
        "axle-1-right",
        "axle-2-left",
        "axle-2-right",
    ]
    here = found["places"][3]
    assert (here["place"], here["words"]) == (PLACE, "axle 2 right")
    assert [(limit["id"], limit["value"], limit["certain"]) for limit in here["limits"]] == [
        ("type-24-long", "2", True)
    ]
    assert (here["last_value"]["value"], here["last_value"]["age_days"]) == ("2.31", 0)
    assert [item["number"] for item in here["open_defects"]] == [defect.number]
    assert found["places"][0]["open_defects"] == []
    assert body["elsewhere"] == []
    assert found["caution"]


@pytest.mark.parametrize(("by", "may"), [("iris", False), ("sam", False), ("greta", True)])
def test_mechanics_point__says_whose_word_counts(by: str, may: bool) -> None:
    assert stop(walk(by, trailer="LR-46"), STROKE)["may_answer"] is may


def test_free_text_fault__is_listed_beside_the_stops(yard: Yard) -> None:
    defect = yard.fault("knocks when turning")
    [elsewhere] = walk(trailer="LR-46")["elsewhere"]
    assert (elsewhere["number"], elsewhere["what"]) == (defect.number, "knocks when turning")


def test_kind_of_walk__only_its_points() -> None:
    by_kind = {
        kind: {stop["point"] for stop in walk(tractor="NL-15", trailer="LR-46", kind=kind)["points"]}
        for kind in ("pre_trip", "pick_up")
    }
    catalogue = load_catalogue().points
    for kind, names in by_kind.items():
        assert names
        assert all(kind in catalogue[name].walks for name in names)
    assert len(by_kind["pick_up"]) < len(by_kind["pre_trip"])


def test_axles_not_recorded__the_stop_is_shown_without_places(yard: Yard) -> None:
    yard.trailer.axles.all().delete()
    found = stop(walk(trailer="LR-46"), STROKE)
    assert (found["places"], found["place_type"]) == ([], "wheel_end")


@pytest.mark.parametrize(
    ("query", "code", "problems"),
    [
        ({}, "walk_needs_units", []),
        ({"tractor": "NL-99"}, "invalid_parameter", [("tractor", "unit_unknown")]),
        ({"tractor": "LR-46"}, "invalid_parameter", [("tractor", "not_of_this_kind")]),
        ({"trailer": "LR-46", "kind": "stroll"}, "invalid_parameter", [("kind", "invalid_choice")]),
        ({"trailer": "LR-46", "colour": "red"}, "unknown_parameter", []),
    ],
)
@pytest.mark.usefixtures("yard")
def test_walk_of_nothing_known__refused(query: dict[str, str], code: str, problems: Any) -> None:
    refused = acting_as("iris").get("walk", **query)
    assert (refused.status_code, refused.json()["code"]) == (400, code)
    assert (codes(refused) if problems else []) == problems
