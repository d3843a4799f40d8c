"""What is wrong on a signed walk-around is kept, told and listed, counts for nothing, and harms nothing beside it.

Every walk-around here also brings a good tread and two good meters, which enter their series whatever else is wrong.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest

from defects.models import Measurement, Report
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.services.walkarounds import intake
from fleet.models import MeterReading, Unit
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.contents import contents, more_rows
from tests.support.walks import UNITS, body, check, put, stroke

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
TREAD, LAMP, STROKE = "tires.trailer.tread-depth", "lamps.trailer.turn", "brakes.service.pushrod-stroke"
GOOD_TREAD = check(TREAD, "axle-1-left-outer", value="8", unit_of_measure="32nds")
GOOD_METERS = ({"meter": "odometer_mi", "shown": "245300.4"}, {"meter": "engine_h", "shown": "6470"})

BROUGHT = {
    "defects_walkaround": 1,
    "defects_report": 3,
    "defects_measurement": 1,
    "defects_catalogueversion": 1,
    "fleet_signature": 1,
    "fleet_meterreading": 2,
    "fleet_historyentry": 3,
    "fleet_historycontent": 3,
}
"""The rows of a walk-around of three units on which all is well."""


def walk(*checks: dict[str, Any], at: datetime = NOON - MINUTE, **more: Any) -> dict[str, Any]:
    tractor, trailer, cooling_unit = UNITS
    reports = [
        {"unit": tractor, "meters": [GOOD_METERS[0], *more.pop("meters", [])]},
        {"unit": trailer, "checks": [GOOD_TREAD, *checks]},
        {"unit": cooling_unit, "meters": [GOOD_METERS[1]]},
    ]
    signed_at = more.pop("signed_at", at)
    given = body([*reports, *more.pop("reports", [])], finished_at=at, **more)
    given["signature"]["signed_at"] = signed_at.isoformat()
    return given


def codes(flags: list[dict[str, Any]]) -> list[tuple[str, int | None, int | None]]:
    assert all(item["detail"] for item in flags)
    return [(item["code"], item["check"], item["meter"]) for item in flags]


def foremans_list() -> dict[str, int]:
    """What the foreman finds under "to be looked at": unit and how many things."""
    rows = acting_as("hob").get("reports", flagged="true").json()["results"]
    return {row["given_unit"]: row["flagged"] for row in rows}


def unusable_of(unit: str) -> list[tuple[str, str]]:
    """What was said of a unit and answers nothing, by part group and why: left to the driver, or not known."""
    (row,) = acting_as("cal").get("yard", unit=unit).json()["results"]
    unknown = {(item["facts"]["area"], item["facts"]["why"]) for item in row["unknown"] if "area" in item["facts"]}
    report = Report.objects.filter(unit__number=unit).latest("performed_at", "pk")
    asked = {(area_of(left["point"]), left["why"]) for left in report.without_answer}
    return sorted(given for given in unknown | asked if given[1] != "no_answer")


def area_of(name: str) -> str:
    point = load_catalogue().get(name)
    assert point is not None, name
    return str(point.part_group)


@contextmanager
def brings(**more: int) -> Iterator[None]:
    """Exactly the rows of a plain walk-around come in, and these besides."""
    before = contents()
    yield
    assert more_rows(before, contents()) == {**BROUGHT, **more}


def test_nothing_wrong__nothing_flagged() -> None:
    device = acting_as("iris")

    with brings():
        receipt = put(device, walk())

    assert [unit["flags"] for unit in receipt["units"]] == [[], [], []]
    assert receipt["flags"] == []
    assert receipt["says"].startswith("Received. You listed no fault. Request clearance before you roll.")
    assert foremans_list() == {}
    assert unusable_of("LR-45") == []


LIGHTS = "lighting_and_reflectors"


def tread(**more: str) -> dict[str, Any]:
    """A measured tread beside the good one."""
    return check(TREAD, "axle-1-left-inner", **more)


CHECKS: dict[str, tuple[dict[str, Any], list[str], str]] = {
    "value past what can be": (tread(value="41", unit_of_measure="32nds"), ["value_implausible"], "tires"),
    "value below zero": (tread(value="-1", unit_of_measure="32nds"), ["value_implausible"], "tires"),
    "value past what is stored": (
        tread(value="99999999999999999999", unit_of_measure="32nds"),
        ["value_implausible"],
        "tires",
    ),
    "value without its unit of measure": (tread(value="8"), ["unit_missing"], "tires"),
    "unit of measure without its value": (tread(unit_of_measure="32nds"), ["value_missing"], "tires"),
    "value in another unit of measure": (tread(value="6", unit_of_measure="mm"), ["unit_wrong"], "tires"),
    "value nobody can read": (tread(value="eight", unit_of_measure="32nds"), ["value_unreadable"], "tires"),
    "no value where one is needed": (check(STROKE, "axle-1-left"), ["value_missing"], ""),  # asked of no driver
    "value where none is asked": (check(LAMP, "left", value="3", unit_of_measure="in"), ["value_not_asked"], LIGHTS),
    "place the unit has not": (check("tires.trailer.body", "axle-9-left-outer"), ["place_unknown"], "tires"),
    "place of no form": (check("tires.trailer.body", "somewhere"), ["place_unknown"], "tires"),
    "place left out": (check("tires.trailer.body"), ["place_missing"], "tires"),
    "point of another kind of unit": (check("cab.horn"), ["point_not_for_unit_kind"], "horn"),
    "point nobody knows": (check("lamps.trailer.disco"), ["point_unknown"], "general"),
    "not reached without a reason": (check(LAMP, "left", "not_reached"), ["reason_missing"], LIGHTS),
    "not reached for a reason that explains nothing": (
        check(LAMP, "left", "not_reached", reason="sealed"),
        ["reason_does_not_fit"],
        LIGHTS,
    ),
    "left out though every trailer has it": (
        check("wheels.nuts-and-rims", "axle-1-left", "not_applicable"),
        ["applies_to_this_unit"],
        "wheels_and_rims",
    ),
}


@pytest.mark.parametrize("name", CHECKS)
def test_answer_with_something_wrong__kept_told_listed_and_never_fine(name: str) -> None:
    wrong, expected, area = CHECKS[name]
    device = acting_as("iris")

    with brings():
        receipt = put(device, walk(wrong))

    trailer = receipt["units"][1]
    assert codes(trailer["flags"]) == [(code, 1, None) for code in expected]
    assert (trailer["found"], receipt["flags"]) == ([], [])
    assert receipt["says"].startswith(
        "Received, but parts are flagged. Read the flags. Request clearance before you roll."
    )
    stored = Report.objects.get(pk=trailer["report"]).checks[1]
    assert {key: stored[key] for key in wrong if wrong[key]} == {key: wrong[key] for key in wrong if wrong[key]}
    assert stored["verdict"]["outcome"] == "flagged"
    assert [(row.point, row.place, row.value) for row in Measurement.objects.all()] == [
        (TREAD, "axle-1-left-outer", Decimal(8))
    ]
    assert foremans_list() == {"LR-45": len(expected)}
    page = acting_as("hob").get(f"reports/{trailer['report']}").json()
    assert codes(page["flags"]) == codes(trailer["flags"])
    assert unusable_of("LR-45") == ([(area, "flagged")] if area else [])


def test_point_that_ended_yesterday__kept_and_never_fine(monkeypatch: pytest.MonkeyPatch) -> None:
    known = load_catalogue()
    ended = replace(known.points[LAMP], retired_on=date(2026, 3, 5))
    changed = Catalogue(points={**known.points, LAMP: ended})
    monkeypatch.setattr(intake, "catalogue_in_force", lambda _policies: changed)

    receipt = put(acting_as("iris"), walk(check(LAMP, "left")))

    assert codes(receipt["units"][1]["flags"]) == [("point_retired", 1, None)]
    assert Report.objects.get(unit__number="LR-45").checks[1]["verdict"]["outcome"] == "flagged"
    assert foremans_list() == {"LR-45": 1}
    assert unusable_of("LR-45") == [(LIGHTS, "flagged")]


def test_measured_by_a_driver_who_is_not_trained_for_it__kept_and_enters_no_series() -> None:
    receipt = put(acting_as("sol"), walk(stroke("axle-1-left", "1.5", "fine")))

    assert codes(receipt["units"][1]["flags"]) == [("needs_qualified_person", 1, None)]
    assert not Measurement.objects.filter(point=STROKE).exists()
    assert unusable_of("LR-45") == [], "a point that no walk asks of a driver, whose answer could never end it"


@pytest.mark.parametrize(
    ("second", "expected", "found", "outcome"),
    [
        ("8", [], [], "fine"),
        ("5", ["measured_twice"], [], "flagged"),
        ("1", ["answer_contradicts_value", "measured_twice"], ["do_not_move"], "finding"),
    ],
    ids=["the same again", "another one", "one past its limit"],
)
def test_measured_twice_at_one_place__the_first_enters_the_series_and_a_fault_stands(
    second: str, expected: list[str], found: list[str], outcome: str
) -> None:
    again = check(TREAD, "axle-1-left-outer", value=second, unit_of_measure="32nds")

    trailer = put(acting_as("iris"), walk(again))["units"][1]

    assert codes(trailer["flags"]) == [(code, 1, None) for code in expected]
    assert [item["severity"] for item in trailer["found"]] == found
    assert [row.value for row in Measurement.objects.all()] == [Decimal(8)]
    assert Report.objects.get(pk=trailer["report"]).checks[1]["verdict"]["outcome"] == outcome


METERS = {
    "falling": ("odometer_mi", "244999.9", "falling", "set_aside"),
    "leaping": ("odometer_mi", "9431004", "implausible", "set_aside"),
    "past any meter": ("odometer_mi", "10000000", "implausible", None),
    "past what is stored": ("odometer_mi", "9999999999999999", "implausible", None),
    "below zero": ("odometer_mi", "-5", "negative", None),
    "no number": ("odometer_mi", "24530O", "value_unreadable", None),
    "nothing": ("odometer_mi", "1e3", "value_unreadable", None),
    "meter the unit has not": ("standby_h", "10", "meter_not_on_unit", "set_aside"),
    "meter nobody knows": ("tachometer", "10", "meter_not_on_unit", None),
}


@pytest.mark.parametrize("name", METERS)
def test_meter_reading_that_cannot_be__kept_told_listed_and_in_no_series(name: str) -> None:
    meter, shown, code, state = METERS[name]
    device, reading = acting_as("iris"), {"meter": meter, "shown": shown}
    reports = [{"unit": "NL-16", "meters": [reading]}] if name != "falling" else []
    given = walk(reports=reports)
    if name == "falling":
        given["reports"][0]["meters"] = [reading]
    before = contents()

    receipt = put(device, given)

    unit = receipt["units"][0 if name == "falling" else 3]
    assert codes(unit["flags"]) == [(code, None, 0)]
    kept = Report.objects.get(pk=unit["report"]).flags
    assert kept == [{"code": code, "facts": {"meter": meter, "shown": shown}, "meter": 0}]
    assert foremans_list() == {unit["unit"]: 1}
    rows = MeterReading.objects.filter(unit__number=unit["unit"], walkaround_id=receipt["id"])
    assert [row.state for row in rows] == ([] if state is None else [state])
    assert more_rows(before, contents())["fleet_meterreading"] == (2 if state is None or name == "falling" else 3)


def test_meter_read_twice__the_first_counts() -> None:
    receipt = put(acting_as("iris"), walk(meters=[{"meter": "odometer_mi", "shown": "245301"}]))

    assert codes(receipt["units"][0]["flags"]) == [("read_twice", None, 1)]
    rows = MeterReading.objects.filter(walkaround_id=receipt["id"], meter="odometer_mi").order_by("shown")
    assert [(row.shown, row.state) for row in rows] == [
        (Decimal("245300.4"), "accepted"),
        (Decimal("245301.0"), "set_aside"),
    ]


def test_unknown_unit__its_report_kept_whole_on_no_unit_and_nothing_counts() -> None:
    fault = {"text": "knocks", "place": "left"}
    told = check("tires.trailer.body", "axle-1-left-outer", "defect", note="flat")
    extra = {"unit": "ZZ-9", "checks": [told, GOOD_TREAD], "faults": [fault], "meters": [GOOD_METERS[0]]}
    device = acting_as("iris")

    with brings(defects_report=4, fleet_notification=3, fleet_delivery=3, fleet_delivery_notifications=3):
        receipt = put(device, walk(reports=[extra]))

    (*known, unknown) = receipt["units"]
    assert [unit["flags"] for unit in known] == [[], [], []]
    assert (unknown["unit"], unknown["known"], unknown["found"]) == ("ZZ-9", False, [])
    assert codes(unknown["flags"]) == [("unit_unknown", None, None), ("meter_of_unknown_unit", None, 0)]
    report = Report.objects.get(pk=unknown["report"])
    assert (report.unit, report.given_unit, report.review_due) == (None, "ZZ-9", False)
    assert [(kept["point"], kept["verdict"]["outcome"]) for kept in report.checks] == [
        ("tires.trailer.body", "flagged"),
        (TREAD, "flagged"),
    ]
    assert report.checks[0]["note"] == "flat"
    assert [(kept["text"], kept["place"]) for kept in report.faults] == [("knocks", "left")]
    assert report.flags[1]["facts"] == {"meter": "odometer_mi", "shown": "245300.4"}
    assert foremans_list() == {"ZZ-9": 2}


@pytest.mark.parametrize("named", ["", "LR 45", "LR-45@", "@Acme", "0" * 160, "LR-45/../LR-46"])
def test_what_names_no_unit_at_all__an_unknown_unit(named: str) -> None:
    given = walk(reports=[{"unit": named}])
    assert codes(put(acting_as("iris"), given)["units"][3]["flags"]) == [("unit_unknown", None, None)]


def test_retired_unit__unknown_by_its_number_and_known_by_its_key() -> None:
    gone = Unit.objects.get(number="LR-47", owner="")
    Unit.objects.filter(pk=gone.pk).update(retired_on=date(2026, 3, 1))

    receipt = put(acting_as("iris"), walk(reports=[{"unit": "LR-47"}, {"unit": str(gone.pk)}]))

    assert [unit["known"] for unit in receipt["units"][3:]] == [False, True]


def test_unit_named_twice__one_report_with_all_that_was_said() -> None:
    lamp = check(LAMP, "left", "defect")
    trailer = str(Unit.objects.get(number="LR-45").pk)
    device = acting_as("iris")
    again = [
        {"unit": "lr-45", "checks": [lamp], "faults": [{"text": "knocks"}]},
        {"unit": trailer, "meters": [{"meter": "odometer_mi", "shown": "12"}]},
    ]

    receipt = put(device, walk(reports=again))

    assert [unit["unit"] for unit in receipt["units"]] == ["NL-15", "LR-45", "CU-45"]
    both = receipt["units"][1]
    assert codes(both["flags"]) == [("unit_named_twice", None, None)]
    assert [found["what"] for found in both["found"]] == ["Trailer turn signal, left: out", "knocks"]
    assert [kept["point"] for kept in Report.objects.get(pk=both["report"]).checks] == [TREAD, LAMP]
    assert MeterReading.objects.get(unit_id=trailer).state == "accepted"
    assert foremans_list() == {"LR-45": 1}


WALKS: dict[str, tuple[dict[str, Any], list[str]]] = {
    "a site nobody knows": ({"site": "moon-base"}, ["site_unknown"]),
    "a team mate nobody knows": ({"team_mate": "nobody"}, ["team_mate_unknown"]),
    "a list of checks that was never ours": ({"catalogue": "0" * 64}, ["catalogue_unknown"]),
    "a clock behind by an hour": ({"at": NOON - HOUR, "sent_at": (NOON - HOUR).isoformat()}, ["clock_skewed"]),
    "a clock behind by two days": (
        {"at": NOON - 2 * DAY - MINUTE, "sent_at": (NOON - 2 * DAY).isoformat()},
        ["clock_skewed"],
    ),
    "a clock ahead by two days": (
        {"at": NOON + 2 * DAY - MINUTE, "sent_at": (NOON + 2 * DAY).isoformat()},
        ["clock_skewed"],
    ),
    "a walk of thirteen hours": ({"started_at": (NOON - 13 * HOUR).isoformat()}, ["walk_times_implausible"]),
    "an end before the beginning": ({"started_at": (NOON + HOUR).isoformat()}, ["walk_times_implausible"]),
    "a walk of no time at all": ({"started_at": (NOON - MINUTE).isoformat()}, ["walk_too_short"]),
    "a signature of four years later": ({"signed_at": NOON + 1461 * DAY}, ["signed_at_implausible"]),
    "a signature from before the walk": ({"signed_at": NOON - DAY}, ["signed_at_implausible"]),
    "all at once": (
        {"site": "moon-base", "team_mate": "nobody", "catalogue": "0" * 64, "sent_at": (NOON - HOUR).isoformat()}
        | {"at": NOON - HOUR},
        ["clock_skewed", "catalogue_unknown", "site_unknown", "team_mate_unknown"],
    ),
}


@pytest.mark.parametrize("name", WALKS)
def test_flagged_walkaround__is_listed_with_each_report_and_the_rest_counts(name: str) -> None:
    given, expected = WALKS[name]
    device = acting_as("iris")

    with brings():
        receipt = put(device, walk(**given))

    assert codes(receipt["flags"]) == [(code, None, None) for code in expected]
    assert [unit["flags"] for unit in receipt["units"]] == [[], [], []]
    assert foremans_list() == dict.fromkeys(UNITS, len(expected))
    page = acting_as("hob").get(f"reports/{receipt['units'][0]['report']}").json()
    assert codes(page["flags"]) == codes(receipt["flags"])
    assert unusable_of("LR-45") == []


@pytest.mark.parametrize("off", [-2 * DAY, -HOUR, HOUR, 2 * DAY])
def test_clock_off_when_sending__done_when_it_was_done(off: timedelta) -> None:
    receipt = put(acting_as("iris"), walk(at=NOON + off - HOUR, sent_at=(NOON + off).isoformat()))

    done = (NOON - HOUR).isoformat().replace("+00:00", "Z")
    assert receipt["performed_at"] == done
    assert {row.measured_at for row in Measurement.objects.all()} == {NOON - HOUR}
    assert {row.read_at for row in MeterReading.objects.filter(walkaround_id=receipt["id"])} == {NOON - HOUR}
    assert Report.objects.get(unit__number="LR-45").walkaround.skew_seconds == -off.total_seconds()


@pytest.mark.parametrize("hours", [-23, -16, 16, 23])
def test_times_in_an_offset_that_no_zone_has__taken_as_the_instants_they_are(hours: int) -> None:
    """The database takes none of these offsets."""
    nowhere = timezone(timedelta(hours=hours))

    receipt = put(
        acting_as("iris"), walk(at=(NOON - MINUTE).astimezone(nowhere), sent_at=NOON.astimezone(nowhere).isoformat())
    )

    assert receipt["flags"] == []
    assert receipt["performed_at"] == (NOON - MINUTE).isoformat().replace("+00:00", "Z")


@pytest.mark.parametrize(
    ("at", "code"),
    [
        (NOON + 3 * MINUTE, "clock_ahead"),
        (NOON + 2 * DAY, "clock_ahead"),
        (datetime(2199, 12, 30, tzinfo=NOON.tzinfo), "clock_ahead"),
        (datetime(1970, 1, 1, tzinfo=NOON.tzinfo), "clock_behind"),
        (datetime(1900, 1, 2, tzinfo=NOON.tzinfo), "clock_behind"),
    ],
)
def test_walkaround_of_unknown_time__its_findings_count_from_now(at: datetime, code: str) -> None:
    lamp = check(LAMP, "left", "defect")
    device = acting_as("iris")

    receipt = put(device, walk(lamp, check(LAMP, "right"), at=at, coupled=True))

    assert codes(receipt["flags"]) == [(code, None, None)]
    assert receipt["performed_at"] == NOON.isoformat().replace("+00:00", "Z")
    assert [found["place"] for found in receipt["units"][1]["found"]] == ["left"]
    assert receipt["units"][1]["found"][0]["hold"] is not None
    assert not Measurement.objects.exists()
    assert {row.state for row in MeterReading.objects.filter(walkaround_id=receipt["id"])} == {"set_aside"}
    assert [codes(unit["flags"]) for unit in receipt["units"]] == [
        [("time_unknown", None, 0)],
        [],
        [("time_unknown", None, 0)],
    ]
    outcomes = [kept["verdict"]["outcome"] for kept in Report.objects.get(unit__number="LR-45").checks]
    assert outcomes == ["flagged", "finding", "flagged"]
    assert unusable_of("LR-45") == [(LIGHTS, "flagged"), ("tires", "flagged")]
    assert foremans_list() == {"NL-15": 2, "LR-45": 1, "CU-45": 2}
