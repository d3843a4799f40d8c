"""Scale tickets: kept with their load, flagged from the field, refused from a desk, and weighed when dispatch asks."""

from datetime import timedelta
from typing import Any

import pytest

from common.canonical import sha256_hex
from common.ids import uuid7
from defects.models import ScaleTicket
from fleet.models import Axle, TractorDetails, TrailerDetails
from tests.factories.fleet import history_of
from tests.support.acting import acting_as, codes
from tests.support.dock import Dock, make_tractor
from tests.support.pictures import jpeg

TICKET: dict[str, Any] = {
    "tractor": "NL-13",
    "scale": "the scale by the river",
    "groups": [{"axles": 1, "lb": 11_800}, {"axles": 2, "lb": 33_900}, {"axles": 1, "lb": 19_000}],
    "gross_lb": 64_700,
}


@pytest.fixture
def loaded(dock: Dock) -> Dock:
    """A dry load of known weight in LR-46, whose axle count and distances are recorded."""
    dock.put(dock.load("L-1", "dry", weight_lb=40_000))
    Axle.objects.update(tire_rating_lb=6_200)
    for number, spacing in ((2, 150), (3, 52)):
        Axle.objects.filter(unit=dock.tractor, number=number).update(spacing_in=spacing)
    Axle.objects.filter(unit=dock.trailer, number=2).update(spacing_in=49)
    TractorDetails.objects.filter(unit=dock.tractor).update(fifth_wheel_to_rear_axle_in=30)
    TrailerDetails.objects.filter(unit=dock.trailer).update(kingpin_to_rear_axle_in=480, slider_hole_in=6)
    return dock


def weigh(*pounds: int, gross: int | None = None, by: str = "sol", **more: Any) -> Any:
    counts = (1, 2, 2)
    groups = [{"axles": count, "lb": lb} for count, lb in zip(counts, pounds, strict=True)]
    body = {**TICKET, "groups": groups, "gross_lb": gross or sum(pounds), **more}
    return acting_as(by).post("loads/L-1/weigh", body)


def answer(dock: Dock) -> dict[str, Any]:
    trip = {"units": ["NL-13", "LR-46"], "arrival": "2026-03-11T06:00:00Z", "driver": str(dock["sol"].pk)}
    made = acting_as("cal").post("clearances", trip)
    assert made.status_code == 201
    body: dict[str, Any] = made.json()
    return body


def said(rows: list[dict[str, Any]]) -> list[str]:
    return [row["says"] for row in rows if row["code"].split("_")[-1] in {"overweight", "overloaded", "weighed"}]


def test_load_of_known_weight__unknown_until_it_is_weighed(loaded: Dock) -> None:
    assert said(answer(loaded)["unknown"]) == [
        "No scale ticket for this load and these units. Its axle weights are unknown."
    ]
    assert weigh(11_800, 33_900, 33_900).status_code == 200
    after = answer(loaded)
    assert (said(after["unknown"]), said(after["reasons"])) == ([], [])
    assert "load_weighed" in history_of(loaded.trailer)


def test_drives_over__bar_with_the_holes_that_would_help_until_weighed_again(loaded: Dock) -> None:
    weigh(11_800, 34_700, 31_000)
    barred = answer(loaded)
    assert barred["answer"] == "barred"
    (reason,) = [row for row in barred["reasons"] if row["code"] == "axles_overweight"]
    assert reason["says"] == ("NL-13, axle 2-3: 34700 lb, limit 34000. Slide the tandem 2 holes forward, weigh again.")
    assert (reason["source"], reason["ends_when"]) == ("23 CFR 658.17(c), (d)", "weighed_again")
    weigh(11_800, 33_900, 31_800)
    assert said(answer(loaded)["reasons"]) == []


def test_drives_weighed_axle_by_axle__held_to_the_tandem_and_no_hole_is_told(loaded: Dock) -> None:
    """How much of the tandem's load each drive axle would take is not known."""
    groups = [{"axles": count, "lb": lb} for count, lb in ((1, 11_800), (1, 17_300), (1, 17_300), (2, 31_000))]
    assert weigh(11_800, 34_600, 31_000, groups=groups).status_code == 200
    [reason] = answer(loaded)["reasons"]
    assert reason["says"] == "NL-13, axle 2-3: 34600 lb, limit 34000 lb. Move freight, weigh again."


def test_weighed_whole__unknown_until_each_group_is_weighed(loaded: Dock) -> None:
    assert weigh(11_800, 33_900, 31_000, groups=[{"axles": 5, "lb": 76_700}]).status_code == 200
    [unknown] = [row for row in answer(loaded)["unknown"] if row["code"] == "weights_not_compared"]
    assert unknown["says"] == "Scale weights not all compared: axles far apart weighed as one; weigh each group."
    assert unknown["ends_when"] == "weighed_again"


def test_gross_over__no_hole_helps(loaded: Dock) -> None:
    weigh(12_300, 34_000, 34_000)
    assert said(answer(loaded)["reasons"]) == ["Gross weight 80300 lb, limit 80000 lb. Take freight off, weigh again."]


def test_ticket_that_does_not_add_up__kept_and_flagged_from_a_driver_refused_from_a_desk(loaded: Dock) -> None:
    refused = weigh(11_800, 33_900, 33_900, gross=70_000, by="cal")
    assert (refused.status_code, codes(refused)) == (422, [("/groups", "scale_ticket_does_not_add_up")])
    assert ScaleTicket.objects.count() == 0
    kept = weigh(11_800, 33_900, 33_900, gross=70_000)
    assert kept.status_code == 200
    (ticket,) = kept.json()["scale_tickets"]
    assert [flag["says"] for flag in ticket["flags"]] == [
        "The axle weights do not add up to the gross weight. Read them again."
    ]
    assert [row["says"] for row in answer(loaded)["unknown"] if row["code"] == "weights_not_compared"] == [
        "Scale weights not all compared: the scale ticket is flagged; weigh again."
    ]


def test_flagged_ticket__lifts_no_bar_and_leaves_the_weights_in_doubt(loaded: Dock) -> None:
    assert weigh(11_800, 34_700, 31_000).status_code == 200
    assert weigh(11_800, 33_900, 33_900, gross=70_000).json()["scale_tickets"][0]["flags"]
    after = answer(loaded)
    assert [row["code"] for row in after["reasons"] if row["code"] == "axles_overweight"] == ["axles_overweight"]
    assert [row["facts"] for row in after["unknown"] if row["code"] == "weights_not_compared"] == [
        {"why": "ticket_flagged"}
    ]
    weigh(11_800, 33_900, 33_900)
    again = answer(loaded)
    assert {row["code"] for row in [*again["reasons"], *again["unknown"]]}.isdisjoint(
        {"axles_overweight", "weights_not_compared"}
    )


def test_newer_ticket_of_another_tractor__lifts_no_bar(loaded: Dock) -> None:
    weigh(11_800, 34_700, 33_900)
    mine = ScaleTicket.objects.get()
    later = {
        "weighed_at": mine.weighed_at + timedelta(minutes=1),
        "id": uuid7(),
        "tractor_id": make_tractor("NL-14").pk,
    }
    groups = [{"axles": 1, "lb": 11_000}, {"axles": 2, "lb": 30_000}, {"axles": 2, "lb": 34_600}]
    ScaleTicket.objects.create(**{**kept(mine), **later, "groups": groups, "gross_lb": 75_600})

    after = answer(loaded)

    barred = [row for row in after["reasons"] if row["code"] == "axles_overweight"]
    assert {(row["unit"], row["facts"]["axles"], row["facts"]["lb"]) for row in barred} == {
        ("NL-13", "2-3", 34_700),
        ("LR-46", "1-2", 34_600),
    }
    assert [row["facts"]["why"] for row in after["unknown"] if row["code"] == "weights_not_compared"] == [
        "other_tractor"
    ]


def test_ticket_of_another_tractor__bars_by_the_trailers_axles_alone(loaded: Dock) -> None:
    weigh(20_300, 40_000, 34_100)
    ScaleTicket.objects.update(tractor=make_tractor("NL-14"))

    after = answer(loaded)

    assert [
        (row["unit"], row["facts"]["axles"], row["facts"]["lb"])
        for row in after["reasons"]
        if row["code"].endswith("weight")
    ] == [("LR-46", "1-2", 34_100)]


def kept(ticket: ScaleTicket) -> dict[str, Any]:
    """The columns of a stored ticket."""
    return {field.attname: getattr(ticket, field.attname) for field in ScaleTicket._meta.concrete_fields}


def test_ticket_of_another_tractor__compared_with_nothing(loaded: Dock) -> None:
    weigh(11_800, 40_000, 33_900)
    ScaleTicket.objects.update(tractor=make_tractor("NL-14"))
    assert [row["facts"]["why"] for row in answer(loaded)["unknown"] if row["code"] == "weights_not_compared"] == [
        "other_tractor"
    ]


def test_axles_not_recorded__limits_that_need_no_record_still_hold(loaded: Dock) -> None:
    Axle.objects.filter(unit=loaded.trailer).delete()
    weigh(20_100, 30_000, 29_000)
    after = answer(loaded)
    assert [row["code"] for row in after["reasons"] if row["code"].endswith("weight")] == ["axles_overweight"]
    assert sorted(row["facts"]["why"] for row in after["unknown"] if row["code"] == "weights_not_compared") == [
        "axle_distances",
        "tire_ratings",
    ]


def test_ticket_before_the_loading_or_of_a_trailer__refused(loaded: Dock) -> None:
    early = weigh(11_800, 33_900, 33_900, weighed_at="2026-03-01T00:00:00Z")
    assert (early.status_code, early.json()["code"]) == (422, "instant_too_early")
    trailer = weigh(11_800, 33_900, 33_900, tractor="LR-46")
    assert (trailer.status_code, trailer.json()["code"]) == (422, "not_a_tractor")


def test_picture__sent_under_the_hash_that_the_ticket_names(loaded: Dock) -> None:
    picture = jpeg()
    name = sha256_hex(picture)
    path = f"loads/L-1/photos/{name}"
    assert acting_as("sol").put_file(path, picture, "image/jpeg").status_code == 422
    weigh(11_800, 33_900, 33_900, photo=name)
    assert acting_as("sol").put_file(path, picture, "image/jpeg").status_code == 201
    assert acting_as("sol").put_file(path, picture, "image/jpeg").status_code == 204
    assert acting_as("cal").get(path).status_code == 200


def test_dock_tells_product_temperature_and_doors(dock: Dock) -> None:
    dock.load("L-1", "dry")
    told = {"trailer": "LR-46", "product_f": "34.5", "doors_opened_at": "2026-03-06T14:00:00Z"}
    closed_early = {**told, "doors_closed_at": "2026-03-06T13:59:59Z"}
    refused = acting_as("sol").post("loads/L-1/put-into-trailer", closed_early)
    assert (refused.status_code, codes(refused)) == (422, [("/doors_closed_at", "doors_closed_before_opening")])
    body = acting_as("sol").post("loads/L-1/put-into-trailer", told).json()
    assert (body["product_f"], body["doors_opened_at"], body["doors_closed_at"]) == (
        "34.5",
        "2026-03-06T14:00:00Z",
        None,
    )


def test_load_planned_for_a_trailer__shows_what_lies_in_it(dock: Dock) -> None:
    dock.put(dock.load("L-2", "dry"))
    waits = dock.load("L-1", "dry")
    assert acting_as("cal").get("loads/L-1").json()["also_in_trailer"] == []
    type(waits).objects.filter(pk=waits.pk).update(trailer=dock.trailer)
    assert acting_as("cal").get("loads/L-1").json()["also_in_trailer"] == ["L-2"]
    assert acting_as("cal").get("loads/L-2").json()["also_in_trailer"] == []


def test_doors_in_the_future__refused_from_the_dock_and_the_desk(dock: Dock) -> None:
    dock.load("L-1", "dry")
    later = {"doors_opened_at": "2026-03-06T14:00:00Z", "doors_closed_at": "2031-03-10T14:00:00Z"}
    at_the_dock = acting_as("sol").post("loads/L-1/put-into-trailer", {"trailer": "LR-46", **later})
    assert (at_the_dock.status_code, codes(at_the_dock)) == (422, [("/doors_closed_at", "instant_in_future")])
    recorded = acting_as("cal").post("loads", {"number": "L-2", "temperature_class": "dry", **later})
    assert codes(recorded) == [("/doors_closed_at", "instant_in_future")]
    edited = acting_as("cal").patch("loads/L-1", {"doors_opened_at": "2031-03-10T14:00:00Z"}, if_match='"1"')
    assert codes(edited) == [("/doors_opened_at", "instant_in_future")]


def test_weight_of_no_load__refused_with_the_range(dock: Dock) -> None:
    load = {"number": "L-1", "temperature_class": "dry"}
    refused = acting_as("cal").post("loads", {**load, "weight_lb": 100_001})
    assert (refused.status_code, codes(refused)) == (422, [("/weight_lb", "weight_implausible")])
    assert refused.json()["errors"][0]["detail"] == "No load weighs that. Give 1 to 100000 lb."
    assert acting_as("cal").post("loads", {**load, "weight_lb": 100_000}).status_code == 201


PERMIT = {"number": "H-4471", "us_state": "IL", "starts_on": "2026-03-01", "ends_on": "2026-12-31", "tandem_lb": 36_000}


def permit(*permits: dict[str, Any], **more: Any) -> Any:
    tag = acting_as("cal").get("loads/L-1").headers["ETag"]
    return acting_as("cal").patch("loads/L-1", {"overweight_permits": list(permits), **more}, if_match=tag)


def test_overweight_permit__the_weight_does_not_bar_and_the_answer_names_it(loaded: Dock) -> None:
    weigh(10_000, 34_700, 33_900)
    kept = permit(PERMIT, us_states=["IL"])
    assert kept.status_code == 200, kept.content
    assert kept.json()["overweight_permits"] == [{**PERMIT, "axle_lb": None, "group_lb": None, "gross_lb": None}]

    after = answer(loaded)

    assert [row["says"] for row in after["left_open"] if row["code"] == "overweight_permitted"] == [
        "Axle 2-3: 34700 lb, limit 34000 lb, permitted by IL H-4471. Carry each permit."
    ]
    assert not [row for row in after["reasons"] if row["code"] == "axles_overweight"]


@pytest.mark.parametrize(
    ("wrong", "pointer", "code"),
    [
        ({"us_state": "QQ"}, "/overweight_permits/0/us_state", "state_unknown"),
        ({"ends_on": "2026-02-28"}, "/overweight_permits/0/ends_on", "end_before_beginning"),
        ({"tandem_lb": None}, "/overweight_permits/0", "permit_without_weight"),
        ({"tandem_lb": 0}, "/overweight_permits/0/tandem_lb", "min_value"),
    ],
)
def test_overweight_permit_that_cannot_be__refused(
    loaded: Dock, wrong: dict[str, Any], pointer: str, code: str
) -> None:
    refused = permit({**PERMIT, **wrong})
    assert (refused.status_code, codes(refused)) == (422, [(pointer, code)])
