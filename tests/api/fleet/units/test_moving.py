"""Combinations, mountings and meters over HTTP."""

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import Coupling, MeterReading
from tests.factories.fleet import make_coupling, make_mounting, make_reading, make_unit
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.usefixtures("carrier")
NOON = "2026-03-06T12:00:00-06:00"


@pytest.fixture
def driver() -> Device:
    return acting_as(Role.DRIVER)


@pytest.fixture
def dispatch() -> Device:
    return acting_as(Role.DISPATCH)


class TestCouplings:
    def test_units__are_coupled_by_their_numbers_and_uncoupled(self, dispatch: Device) -> None:
        make_unit(number="NL-11")
        make_unit(UnitKind.TRAILER, "LR-41")
        made = dispatch.post("couplings", {"units": ["lr-41", "nl-11"], "started_at": NOON})
        assert made.status_code == 201
        told = made.json()
        assert [unit["number"] for unit in told["units"]] == ["NL-11", "LR-41"]
        assert (told["started_at"], told["ended_at"]) == ("2026-03-06T18:00:00Z", None)
        assert told["allowed_actions"] == ["uncouple"]
        early = dispatch.post(f"couplings/{told['id']}/uncouple", {"ended_at": NOON})
        assert (early.status_code, codes(early)) == (422, [("/ended_at", "end_before_beginning")])

    def test_desk__is_refused_by_the_record_where_a_driver_takes_over(self, dispatch: Device, driver: Device) -> None:
        old = make_coupling(make_unit(number="NL-11"), make_unit(UnitKind.TRAILER, "LR-41"))
        make_unit(number="NL-12")
        body = {"units": ["NL-12", "LR-41"], "started_at": NOON}
        refused = dispatch.post("couplings", body)
        assert (refused.status_code, refused.json()["code"], refused.json()["units"]) == (
            409,
            "unit_coupled_elsewhere",
            ["LR-41"],
        )
        taken = driver.post("couplings", body)
        assert (taken.status_code, taken.json()["took_over"]) == (201, True)
        assert driver.get(f"couplings/{old.pk}").json()["taken_over"] is True
        current = driver.get("couplings", unit="LR-41", open="true").json()["results"]
        assert [row["id"] for row in current] == [taken.json()["id"]]

    def test_strangers_in_a_body__are_each_pointed_at(self, dispatch: Device) -> None:
        make_unit(number="NL-11")
        answer = dispatch.post("couplings", {"units": ["NL-11", "LR-99", "a@b@c"], "started_at": NOON})
        assert codes(answer) == [("/units/2", "unit_reference_malformed")]
        answer = dispatch.post("couplings", {"units": ["NL-11", "LR-99"], "started_at": NOON})
        assert (answer.status_code, codes(answer)) == (422, [("/units/1", "unit_unknown")])
        assert not Coupling.objects.exists()

    def test_instant_without_offset__is_refused(self, dispatch: Device) -> None:
        answer = dispatch.post("couplings", {"units": ["A", "B"], "started_at": "2026-03-06T12:00:00"})
        assert codes(answer) == [("/started_at", "instant_without_offset")]


def test_cooling_unit__is_mounted_and_dismounted() -> None:
    foreman = acting_as(Role.FOREMAN)
    make_unit(UnitKind.TRAILER, "LR-41")
    make_unit(UnitKind.COOLING_UNIT, "CU-41")
    body = {"trailer": "LR-41", "cooling_unit": "CU-41", "started_at": "2026-03-06T11:00:00-06:00"}
    made = foreman.post("mountings", body)
    assert (made.status_code, made.json()["trailer"]["number"], made.json()["ended_at"]) == (201, "LR-41", None)
    assert foreman.post("mountings", body).json()["code"] == "already_mounted"
    off = foreman.post(f"mountings/{made.json()['id']}/dismount", {"ended_at": NOON})
    assert (off.status_code, off.json()["ended_at"], off.json()["allowed_actions"]) == (200, "2026-03-06T18:00:00Z", [])
    assert foreman.get("mountings", open="true").json()["results"] == []
    assert len(foreman.get("mountings", trailer="LR-41", open="false").json()["results"]) == 1


def test_mounting_named_by_a_stranger__is_not_found() -> None:
    make_mounting()
    answer = acting_as(Role.FOREMAN).post(f"mountings/{make_coupling().pk}/dismount", {"ended_at": NOON})
    assert (answer.status_code, answer.json()["code"]) == (404, "mounting_unknown")


class TestMeters:
    def test_reading__is_taken_as_text_and_given_as_text(self, driver: Device) -> None:
        make_unit(number="NL-11")
        made = driver.post(
            "meter-readings", {"unit": "NL-11", "meter": "odometer_mi", "shown": "1234.5", "read_at": NOON}
        )
        assert made.status_code == 201
        told = made.json()
        assert (told["unit"]["number"], told["shown"], told["total"], told["state"]) == (
            "NL-11",
            "1234.5",
            "1234.5",
            "accepted",
        )
        assert driver.get(f"meter-readings/{told['id']}").json() == told

    @pytest.mark.parametrize(
        ("change", "expected"),
        [
            ({"shown": "999.0"}, ("/shown", "reading_falling")),
            ({"shown": "9999.0"}, ("/shown", "reading_implausible")),
            ({"shown": "1000.05"}, ("/shown", "max_decimal_places")),
            ({"shown": "many"}, ("/shown", "not_a_decimal")),
            ({"read_at": "2026-03-06T12:00:01-06:00"}, ("/read_at", "instant_in_future")),
            ({"meter": "standby_h"}, ("/meter", "meter_not_on_unit")),
            ({"meter": "fuel"}, ("/meter", "invalid_choice")),
            ({"unit": "NL-99"}, ("/unit", "unit_unknown")),
        ],
    )
    def test_reading_that_cannot_be__is_refused_with_field_and_rule(
        self, driver: Device, change: dict[str, str], expected: tuple[str, str]
    ) -> None:
        make_reading(make_unit(number="NL-11"), "1000.0")
        body = {"unit": "NL-11", "meter": "odometer_mi", "shown": "1001.0", "read_at": NOON, **change}
        answer = driver.post("meter-readings", body)
        assert (answer.status_code, codes(answer)) == (422, [expected])
        assert MeterReading.objects.count() == 1

    def test_falling_meter__is_told_what_it_contradicts(self, driver: Device) -> None:
        make_reading(make_unit(number="NL-11"), "1000.0")
        body = {"unit": "NL-11", "meter": "odometer_mi", "shown": "999.0", "read_at": NOON}
        (problem,) = driver.post("meter-readings", body).json()["errors"]
        assert (problem["other_total"], problem["other_read_at"]) == ("1000.0", "2026-03-05T18:00:00Z")
        assert problem["detail"] == (
            "The total would fall: it was 1000.0, Thu 5 Mar 12:00 PM. Record a meter replacement first."
        )

    def test_replaced_meter__lets_the_total_go_on(self) -> None:
        foreman = acting_as(Role.FOREMAN)
        make_reading(make_unit(number="NL-14"), "250000.0")
        replaced = foreman.post(
            "meter-readings/replacements",
            {
                "unit": "NL-14",
                "meter": "odometer_mi",
                "replaced_at": "2026-03-06T10:00:00-06:00",
                "first_shown": "50000.0",
                "reason": "display dead",
            },
        )
        assert (replaced.status_code, replaced.json()["offset"]) == (201, "200000.0")
        body = {"unit": "NL-14", "meter": "odometer_mi", "shown": "50010.0", "read_at": NOON}
        assert foreman.post("meter-readings", body).json()["total"] == "250010.0"
        assert len(foreman.get("meter-readings/replacements", unit="NL-14").json()["results"]) == 1
