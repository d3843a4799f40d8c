"""Units over HTTP: adding, naming, editing by version, retiring, and what a bad body is told."""

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import Unit
from tests.factories.fleet import make_site, make_unit
from tests.support.acting import Device, acting_as, codes
from tests.support.walks import dense

pytestmark = pytest.mark.usefixtures("carrier")


@pytest.fixture
def desk() -> Device:
    return acting_as(Role.COMPLIANCE)


def test_unit_added__is_answered_in_full_and_found_again(desk: Device) -> None:
    site = make_site()
    body = {
        "number": "NL-11",
        "make": "Volt",
        "home_site": site.code,
        "fuel_tank_gal": "120.5",
        "axles": [{"number": 1, "role": "steer", "dual": False, "chamber_type": "20"}],
    }
    added = desk.post("tractors", body)
    assert added.status_code == 201
    told = added.json()
    assert told["version"] == 1
    assert (told["home_site"], told["fuel_tank_gal"], told["axles"][0]["chamber_type"]) == (site.code, "120.5", "20")
    assert told["allowed_actions"] == ["edit", "retire"]
    for ref in (added.headers["Location"], "tractors/nl-11", "tractors/NL-11", f"units/{told['id']}"):
        assert desk.get(ref).json()["id"] == told["id"]


def test_actuator_with_its_marks__is_kept_and_the_walk_shows_the_stroke_that_follows(desk: Device) -> None:
    axle = {"number": 1, "role": "trailer", "dual": True, "brake_type": "drum"}
    other = {**axle, "actuator": "other", "rated_stroke_in": "2.625", "load_psi": 95}
    bolt = {**axle, "number": 2, "actuator": "bolt", "chamber_type": "A"}
    added = desk.post("trailers", {"number": "LR-41", "axles": [other, bolt]})
    assert added.status_code == 201
    shown = added.json()["axles"]
    assert [(row["actuator"], row["rated_stroke_in"], row["load_psi"]) for row in shown] == [
        ("other", "2.625", 95),
        ("bolt", None, None),
    ]
    walk = acting_as(Role.DRIVER).get("walk?trailer=LR-41&form=full").json()
    places = {
        (point["point"], place["place"]): [
            (limit["value"], walk["sources"][limit["source"]]["section"])
            for limit in place["limits"]
            if limit["certain"]
        ]
        for point, place in dense(walk)
    }
    stroke = "brakes.service.pushrod-stroke"
    assert places[stroke, "axle-1-left"] == [("2.1", "49 CFR 393.47(e)(2)")]
    assert places[stroke, "axle-2-left"] == [("1.375", "49 CFR 393.47(e)")]
    refused = desk.patch(
        "trailers/LR-41", {"axles": [{**axle, "actuator": "bolt", "chamber_type": "24"}]}, if_match='"1"'
    )
    assert refused.status_code == 422
    assert codes(refused) == [("/axles/0/chamber_type", "axle_chamber_not_of_actuator")]


def test_limits_marked_on_drum_and_rotor__are_what_their_wear_is_compared_with(desk: Device) -> None:
    drum = {"number": 1, "role": "trailer", "dual": True, "brake_type": "drum", "drum_limit_in": "16.62"}
    disc = {"number": 2, "role": "trailer", "dual": True, "brake_type": "disc", "rotor_limit_in": "1.46"}
    added = desk.post("trailers", {"number": "LR-41", "axles": [drum, disc]})
    assert [(row["drum_limit_in"], row["rotor_limit_in"]) for row in added.json()["axles"]] == [
        ("16.620", None),
        (None, "1.460"),
    ]
    shown = {
        (point["point"], place["place"]): [limit["value"] for limit in place["limits"]]
        for point, place in dense(acting_as(Role.DRIVER).get("walk?trailer=LR-41&form=full").json())
    }
    assert shown["brakes.service.drum-diameter", "axle-1-left"] == ["16.62"]
    assert shown["brakes.service.rotor-thickness", "axle-2-left"] == ["1.46"]
    refused = desk.post("trailers", {"number": "LR-42", "axles": [{**drum, "drum_limit_in": "166.2"}]})
    assert (refused.status_code, [at for at, _ in codes(refused)]) == (422, ["/axles/0/drum_limit_in"])


def test_axles__are_not_emptied_and_the_same_again_change_nothing(desk: Device) -> None:
    axles = [{"number": 1, "role": "trailer", "dual": True, "rated_stroke_in": "2.500"}]
    desk.post("trailers", {"number": "LR-41", "axles": axles})
    refused = desk.patch("trailers/LR-41", {"axles": []}, if_match='"1"')
    assert (refused.status_code, codes(refused)) == (422, [("/axles", "axles_emptied")])
    same = desk.patch("trailers/LR-41", {"axles": axles}, if_match='"1"')
    assert (same.status_code, same.headers["ETag"].partition("-")[0]) == (200, '"1')


def test_fuel_rate__is_kept_with_three_decimals(desk: Device) -> None:
    added = desk.post("cooling-units", {"number": "CU-41", "burn_gal_per_h": "0.875"})
    assert (added.status_code, added.json()["burn_gal_per_h"]) == (201, "0.875")
    refused = desk.post("cooling-units", {"number": "CU-42", "burn_gal_per_h": "0.8755"})
    assert refused.status_code == 422


@pytest.mark.parametrize("kind", ["tractors", "trailers"])
def test_axle_that_says_nothing__refused_in_an_edit_as_in_a_new_unit(desk: Device, kind: str) -> None:
    added = desk.post(kind, {"number": "NL-77"})
    assert added.status_code == 201
    places = [("/axles/0/number", "required"), ("/axles/0/role", "required"), ("/axles/0/dual", "required")]
    refused = desk.patch(f"{kind}/NL-77", {"axles": [{}]}, if_match='"1"')
    assert (refused.status_code, sorted(codes(refused))) == (422, sorted(places))


def test_maker_values_of_the_governor__are_kept(desk: Device) -> None:
    added = desk.post("tractors", {"number": "NL-11", "governor_cut_in_psi": 70, "governor_cut_out_psi": 145})
    assert (added.status_code, added.json()["governor_cut_in_psi"], added.json()["governor_cut_out_psi"]) == (
        201,
        70,
        145,
    )


def test_unit_of_others__is_named_with_its_owner(desk: Device) -> None:
    assert desk.post("trailers", {"number": "QX-9003", "owner": "Gravelspoon Foods"}).status_code == 201
    assert desk.get("trailers/QX-9003").status_code == 404
    assert desk.get("trailers/qx-9003@gravelspoon%20foods").json()["number"] == "QX-9003"


def test_dispatch__completes_a_third_party_unit_but_edits_none_of_ours(desk: Device) -> None:
    make_unit(UnitKind.TRAILER, "LR-41")
    theirs = make_unit(UnitKind.TRAILER, "QX-9003", owner="Gravelspoon Foods")
    dispatch = acting_as(Role.DISPATCH)
    shown = dispatch.get("trailers/QX-9003@Gravelspoon%20Foods").json()
    assert shown["allowed_actions"] == ["edit"]
    given = {"plate": "7RQ 201", "plate_state": "WI", "owner": "Gravelspoon Foods Inc"}
    assert dispatch.patch("trailers/QX-9003@Gravelspoon%20Foods", given, if_match='"1"').status_code == 200
    theirs.refresh_from_db()
    assert (theirs.plate, theirs.plate_state, theirs.owner) == ("7RQ 201", "WI", "Gravelspoon Foods Inc")
    document = {"unit": "QX-9003@Gravelspoon Foods Inc", "kind": "periodic_inspection", "starts_on": "2026-01-05"}
    assert dispatch.post("documents", document).status_code == 201

    assert dispatch.get("trailers/LR-41").json()["allowed_actions"] == []
    refused = dispatch.patch("trailers/LR-41", {"plate": "7RQ 201"}, if_match='"1"')
    assert (refused.status_code, refused.json()["code"]) == (403, "role_not_allowed")
    assert desk.get("trailers/LR-41").json()["plate"] == ""


def test_unit_of_another_kind__is_not_found_there(desk: Device) -> None:
    make_unit(UnitKind.TRAILER, "LR-41")
    assert desk.get("tractors/LR-41").json()["code"] == "unit_unknown"
    assert desk.get("units/LR-41").status_code == 200


def test_lists__are_cut_down_by_filters(desk: Device) -> None:
    site = make_site()
    make_unit(number="NL-11", home_site_id=site.pk)
    make_unit(UnitKind.TRAILER, "QX-1", owner="Gravelspoon Foods")
    retired = make_unit(number="NL-12")
    desk.post("units/NL-12/retire", {"retired_on": "2026-03-06", "reason": "sold"}, if_match='"1"')

    def numbers(path: str = "units", **query: str) -> list[str]:
        return [row["number"] for row in desk.get(path, **query).json()["results"]]

    assert numbers() == ["NL-11", "QX-1"]
    assert numbers("tractors") == ["NL-11"]
    assert numbers(kind="trailer") == ["QX-1"]
    assert numbers(ours="true") == ["NL-11"]
    assert numbers(ours="false") == ["QX-1"]
    assert numbers(owner="gravelspoon foods") == ["QX-1"]
    assert numbers(home_site=site.code) == ["NL-11"]
    assert numbers(open="false") == [retired.number]


class TestEditing:
    def test_edit__needs_the_version_that_was_seen(self, desk: Device) -> None:
        make_unit(number="NL-11")
        missing = desk.patch("tractors/NL-11", {"make": "Norr"})
        stale = desk.patch("tractors/NL-11", {"make": "Norr"}, if_match='"7"')
        weak = desk.patch("tractors/NL-11", {"make": "Norr"}, if_match='W/"1"')
        assert [(r.status_code, r.json()["code"]) for r in (missing, stale, weak)] == [
            (428, "if_match_required"),
            (412, "version_changed"),
            (412, "version_changed"),
        ]
        assert Unit.objects.get().make == ""
        edited = desk.patch("tractors/NL-11", {"make": "Norr"}, if_match='"1"')
        assert (edited.status_code, edited.json()["version"], edited.json()["make"]) == (200, 2, "Norr")

    def test_what_is_left_out__stays(self, desk: Device) -> None:
        make_unit(number="NL-11", make="Volt", details={"gross_rating_lb": 52000})
        desk.patch("tractors/NL-11", {"plate": "P 1"}, if_match='"1"')
        told = desk.get("tractors/NL-11").json()
        assert (told["make"], told["gross_rating_lb"], len(told["axles"])) == ("Volt", 52000, 2)

    def test_site__is_taken_away_by_null(self, desk: Device) -> None:
        make_unit(number="NL-11", home_site_id=make_site().pk)
        assert desk.patch("tractors/NL-11", {"home_site": None}, if_match='"1"').json()["home_site"] is None


class TestBadBodies:
    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ({}, [("/number", "required")]),
            ({"number": 11}, [("/number", "not_text")]),
            ({"number": "NL-11", "colour": "red"}, [("/colour", "unknown_field")]),
            ({"number": "NL-11", "version": 2}, [("/version", "unknown_field")]),
            ({"number": "NL 11"}, [("/number", "unit_number_malformed")]),
            ({"number": "NL-11", "make": "a\nb"}, [("/make", "text_control")]),
            ({"number": "NL-11", "make": "x" * 61}, [("/make", "max_length")]),
            ({"number": "NL-11", "vin": "BZTTKAA35KA016001"}, [("/vin", "vin_check_digit")]),
            ({"number": "NL-11", "home_site": "NOWHERE"}, [("/home_site", "site_unknown")]),
            ({"number": "NL-11", "fuel_tank_gal": "1.23"}, [("/fuel_tank_gal", "max_decimal_places")]),
            ({"number": "NL-11", "fuel_tank_gal": -1}, [("/fuel_tank_gal", "min_value")]),
            (
                {"number": "NL-11", "axles": [{"number": 1}]},
                [("/axles/0/role", "required"), ("/axles/0/dual", "required")],
            ),
            (
                {"number": "NL-11", "axles": [{"number": 1, "role": "drive", "dual": True, "wheels": 4}]},
                [("/axles/0/wheels", "unknown_field")],
            ),
            (
                {"number": "NL-11", "axles": [{"number": 2, "role": "drive", "dual": True}]},
                [("/axles", "axle_numbers_with_gap")],
            ),
            ({"number": "NL-11", "tank_gal": "50.0"}, [("/tank_gal", "unknown_field")]),
        ],
    )
    def test_body_that_does_not_do__is_told_where_and_nothing_is_kept(
        self, desk: Device, body: dict[str, object], expected: list[tuple[str, str]]
    ) -> None:
        answer = desk.post("tractors", body)
        assert (answer.status_code, answer.headers["Content-Type"]) == (422, "application/problem+json")
        assert codes(answer) == expected
        assert not Unit.objects.exists()

    @pytest.mark.parametrize("text", ["a\x00b", "a\ud800b"])
    def test_text_that_no_database_keeps__is_unreadable(self, desk: Device, text: str) -> None:
        answer = desk.post("tractors", {"number": text})
        assert (answer.status_code, codes(answer)[0][0]) == (400, "/number")

    def test_number_taken__is_a_conflict_and_a_retired_ones_is_free(self, desk: Device) -> None:
        make_unit(number="NL-11")
        taken = desk.post("trailers", {"number": "nl-11"})
        assert (taken.status_code, taken.json()["code"]) == (409, "unit_number_taken")
        desk.post("units/NL-11/retire", {"retired_on": "2026-03-06", "reason": "sold"}, if_match='"1"')
        assert desk.post("trailers", {"number": "nl-11"}).status_code == 201

    def test_vin_taken__is_a_conflict(self, desk: Device) -> None:
        body = {"vin": "BZTTKAA3XKA016001"}
        desk.post("tractors", {"number": "NL-11", **body})
        taken = desk.post("tractors", {"number": "NL-12", **body})
        assert (taken.status_code, taken.json()["code"]) == (409, "vin_taken")


def test_retired_unit__offers_nothing_and_says_so(desk: Device) -> None:
    unit = make_unit(number="NL-11")
    body = {"retired_on": "2026-03-06", "reason": "sold"}
    retired = desk.post("units/NL-11/retire", body, if_match='"1"')
    assert (retired.status_code, retired.json()["allowed_actions"]) == (200, [])
    again = desk.post(f"units/{unit.pk}/retire", body, if_match='"2"')
    assert (again.status_code, again.json()["code"], again.json()["allowed_actions"]) == (409, "action_not_allowed", [])


def test_allowed_actions__are_those_of_the_callers_roles(desk: Device) -> None:
    make_unit(number="NL-11")
    told = {role: acting_as(role).get("units/NL-11").json()["allowed_actions"] for role in (Role.FOREMAN, Role.DRIVER)}
    assert told == {Role.FOREMAN: ["edit"], Role.DRIVER: []}


def test_request_sent_again__adds_one_unit(desk: Device) -> None:
    first = desk.post("tractors", {"number": "NL-11"}, key="one")
    again = desk.post("tractors", {"number": "NL-11"}, key="one")
    other = desk.post("tractors", {"number": "NL-12"}, key="one")
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.content == first.content
    assert (again.headers["Idempotency-Replayed"], again.headers["ETag"]) == ("true", first.headers["ETag"])
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_key_reused")
    assert Unit.objects.count() == 1


def test_refused_request__frees_its_key(desk: Device) -> None:
    assert desk.post("tractors", {"number": "NL 11"}, key="one").status_code == 422
    assert desk.post("tractors", {"number": "NL-11"}, key="one").status_code == 201


def test_post_without_a_key__is_refused(desk: Device) -> None:
    answer = desk.send("POST", "tractors", {"number": "NL-11"})
    assert (answer.status_code, answer.json()["code"]) == (400, "idempotency_key_required")
    assert not Unit.objects.exists()
