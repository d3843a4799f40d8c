"""The catalogue and the walk over HTTP: what to look at, within which limits, in one's own language."""

import gzip
from typing import Any

import pytest
from django.test import Client

from common.canonical import canonical_json
from defects.enums import Form
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import KIND_OF_FORM
from fixtures.scenario.walking import places_of
from fleet.enums import UnitKind
from tests.factories.defects import CatalogueVersionFactory
from tests.factories.fleet import make_mounting, make_unit
from tests.support.acting import acting_as, codes
from tests.support.walks import dense
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
    return next(stop for stop, _ in places_of(body) if (stop["point"], stop["unit"]) == (point, unit))


def places(body: Any, name: str) -> list[str]:
    return sorted(place["place"] for point, place in places_of(body) if point["point"] == name)


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
    assert {leg["unit"] for leg in body["legs"]} == {"NL-15", "LR-46", "CU-46"}
    assert all(stop["title"] and stop["ask"] for stop in body["points"])


def test_place__its_own_limit_last_value_with_its_age_and_open_defects(yard: Yard) -> None:
    defect = yard.stroke("2.31")

    body = walk(trailer="LR-46", form="full")

    found = [(point, place) for point, place in dense(body) if point["point"] == STROKE]
    assert [place["place"] for _, place in found] == ["axle-1-left", "axle-2-left", PLACE, "axle-1-right"]
    point, here = found[2]
    assert here["place"] == PLACE
    assert {"place": PLACE, "words": "axle 2 right"} in body["place_words"]
    assert [(limit["id"], limit["value"], limit["certain"]) for limit in here["limits"]] == [
        ("type-24-long", "2", True)
    ]
    assert (here["last_value"], here["age_days"]) == ("2.31", 0)
    assert [item["number"] for item in here["open_defects"]] == [defect.number]
    assert found[0][1]["open_defects"] == []
    assert "elsewhere" not in body
    assert "chock" in body["cautions"][point["caution"]]


@pytest.mark.parametrize(("by", "may"), [("iris", False), ("sam", False), ("greta", True)])
def test_mechanics_point__says_whose_word_counts(by: str, may: bool) -> None:
    assert stop(walk(by, trailer="LR-46", form="full"), STROKE).get("may_answer", True) is may


def test_free_text_fault__is_listed_beside_the_stops(yard: Yard) -> None:
    defect = yard.fault("knocks when turning")
    [elsewhere] = walk(trailer="LR-46")["elsewhere"]
    assert (elsewhere["number"], elsewhere["what"]) == (defect.number, "knocks when turning")


@pytest.mark.parametrize("form", Form)
def test_form__only_points_of_the_kind_of_walk_around_it_is_for(form: Form) -> None:
    body = walk(tractor="NL-15", trailer="LR-46", form=form)
    catalogue = load_catalogue().points
    assert (body["form"], body["kind"]) == (form, KIND_OF_FORM[form])
    assert body["points"]
    assert all(body["kind"] in catalogue[point["point"]].walks for point in body["points"])


@pytest.mark.parametrize(("told", "axles"), [({}, 2), ({"trailer_axles": "3"}, 3)])
def test_axles_not_recorded__places_of_those_told_or_of_the_usual_ones(
    yard: Yard, told: dict[str, str], axles: int
) -> None:
    yard.trailer.axles.all().delete()
    body = walk(trailer="LR-46", **told)
    assert [(row["unit"], row["axles"], row["counted"]) for row in body["assumed"]] == [("LR-46", axles, bool(told))]
    says = "" if told else f"LR-46: axles not recorded. The walk takes {axles}; count them."
    assert body["assumed"][0]["says"] == says
    assert len(places(body, "tires.trailer.body")) == 4 * axles


def test_tractor_without_recorded_axles__one_steers_and_the_others_have_duals(yard: Yard) -> None:
    yard.tractor.axles.all().delete()
    body = walk(tractor="NL-15")
    assert places(body, "tires.steer.body") == ["axle-1-left", "axle-1-right"]
    assert len(places(body, "tires.drive.body")) == 8


def test_axles_on_record__what_is_told_changes_nothing() -> None:
    told, plain = (walk(trailer="LR-46", **more) for more in ({"trailer_axles": "4"}, {}))
    assert told == plain
    assert "assumed" not in plain


@pytest.mark.parametrize("path", ["walk?trailer=LR-46", "points"])
def test_compressed_where_asked__the_same_and_its_weak_tag_is_answered_alike(path: str) -> None:
    iris = acting_as("iris")
    plain = iris.send("GET", path)
    asking = {"Authorization": f"Bearer {iris.token}", "Accept-Encoding": "gzip"}
    small = Client().get(f"/api/v1/{path}", headers=asking)

    assert (plain.headers.get("Content-Encoding"), small.headers["Content-Encoding"]) == (None, "gzip")
    assert gzip.decompress(small.content) == plain.content
    assert len(small.content) < len(plain.content) / 3
    assert small.headers["ETag"] == f"W/{plain.headers['ETag']}"
    again = iris.send("GET", path, headers={"Accept-Encoding": "gzip", "If-None-Match": small.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert "Accept-Encoding" in again.headers["Vary"]


@pytest.mark.parametrize(
    ("query", "code", "problems"),
    [
        ({}, "walk_needs_units", []),
        ({"tractor": "NL-99"}, "invalid_parameter", [("tractor", "unit_unknown")]),
        ({"tractor": "LR-46"}, "invalid_parameter", [("tractor", "not_of_this_kind")]),
        ({"trailer": "LR-46", "form": "stroll"}, "invalid_parameter", [("form", "invalid_choice")]),
        ({"trailer": "LR-46", "trailer_axles": "0"}, "invalid_parameter", [("trailer_axles", "invalid_choice")]),
        ({"trailer": "LR-46", "colour": "red"}, "unknown_parameter", []),
    ],
)
@pytest.mark.usefixtures("yard")
def test_walk_of_nothing_known__refused(query: dict[str, str], code: str, problems: Any) -> None:
    refused = acting_as("iris").get("walk", **query)
    assert (refused.status_code, refused.json()["code"]) == (400, code)
    assert (codes(refused) if problems else []) == problems
