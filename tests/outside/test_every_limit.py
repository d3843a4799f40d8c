"""Every limit of the catalogue, our own too, pinned on both sides: its last value that passes, its first that fails.

Figures, steps and grades are typed here by hand; what each rests on stands in the file of its point in this folder, and
in the catalogue beside it. A limit that is not typed here fails the first test, whatever else names its point.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import NamedTuple

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.limits import compare
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts
from tests.support.rule_facts import TODAY, point

MANY = 10000
"""A recorded figure so large that a share of it shows a change of a hundredth of a percent."""


class Pin(NamedTuple):
    """The last value that passes, the first that fails, and what the limit hangs on."""

    point: str
    limit: str
    passes: str
    fails: str
    severity: str
    facts: Mapping[str, object] = {}
    on: date = TODAY


STROKE, PLAY, LINING = "brakes.service.pushrod-stroke", "steering.free-play", "brakes.service.lining"
LATER, SHOP, STOP, NOTE = "before_next_use", "next_shop_visit", "do_not_move", "watch"

CLAMP = [
    ("type-6-standard", "6", "standard", "1.25", "1.2501"),
    ("type-9-standard", "9", "standard", "1.375", "1.3751"),
    ("type-12-standard", "12", "standard", "1.375", "1.3751"),
    ("type-12-long", "12", "long", "1.75", "1.7501"),
    ("type-16-standard", "16", "standard", "1.75", "1.7501"),
    ("type-16-long", "16", "long", "2", "2.0001"),
    ("type-20-standard", "20", "standard", "1.75", "1.7501"),
    ("type-20-long", "20", "long", "2", "2.0001"),
    ("type-20-long-3-in", "20", "long_3_in", "2.5", "2.5001"),
    ("type-24-standard", "24", "standard", "1.75", "1.7501"),
    ("type-24-long", "24", "long", "2", "2.0001"),
    ("type-24-long-3-in", "24", "long_3_in", "2.5", "2.5001"),
    ("type-30-standard", "30", "standard", "2", "2.0001"),
    ("type-30-long", "30", "long", "2.5", "2.5001"),
    ("type-36-standard", "36", "standard", "2.5", "2.5001"),
]
OTHER_CHAMBERS = [
    ("bolt-a", "bolt", "A", "1.375", "1.3751"),
    ("bolt-b", "bolt", "B", "1.75", "1.7501"),
    ("bolt-c", "bolt", "C", "1.75", "1.7501"),
    ("bolt-d", "bolt", "D", "1.25", "1.2501"),
    ("bolt-e", "bolt", "E", "1.375", "1.3751"),
    ("bolt-f", "bolt", "F", "2.25", "2.2501"),
    ("bolt-g", "bolt", "G", "2", "2.0001"),
    ("rotochamber-9", "rotochamber", "9", "1.5", "1.5001"),
    ("rotochamber-12", "rotochamber", "12", "1.5", "1.5001"),
    ("rotochamber-16", "rotochamber", "16", "2", "2.0001"),
    ("rotochamber-20", "rotochamber", "20", "2", "2.0001"),
    ("rotochamber-24", "rotochamber", "24", "2", "2.0001"),
    ("rotochamber-30", "rotochamber", "30", "2.25", "2.2501"),
    ("rotochamber-36", "rotochamber", "36", "2.75", "2.7501"),
    ("rotochamber-50", "rotochamber", "50", "3", "3.0001"),
    ("dd-3", "dd_3", "30", "2.25", "2.2501"),
]
AFTER_A_RUN = {"load_psi": MANY, "tire_rating_lb": 4001, "walk_kind": "post_trip"}
SMALL_TIRE = {**AFTER_A_RUN, "tire_rating_lb": 4000}
WHEEL = [
    ("manual-up-to-16-in", "manual", 16, "2", "2.0001"),
    ("power-up-to-16-in", "power", 16, "4.25", "4.2501"),
    ("manual-17-in", "manual", 17, "2.0769", "2.0770"),
    ("power-17-in", "power", 17, "4.4505", "4.4506"),
    ("manual-18-in", "manual", 18, "2.25", "2.2501"),
    ("power-18-in", "power", 18, "4.75", "4.7501"),
    ("manual-19-in", "manual", 19, "2.375", "2.3751"),
    ("power-19-in", "power", 19, "5", "5.0001"),
    ("manual-20-in", "manual", 20, "2.5", "2.5001"),
    ("power-20-in", "power", 20, "5.25", "5.2501"),
    ("manual-21-in", "manual", 21, "2.625", "2.6251"),
    ("power-21-in", "power", 21, "5.5", "5.5001"),
    ("manual-22-in", "manual", 22, "2.75", "2.7501"),
    ("power-22-in", "power", 22, "5.75", "5.7501"),
    ("manual-23-in", "manual", 23, "2.8099", "2.8100"),
    ("power-23-in", "power", 23, "6.0213", "6.0214"),
    ("manual-24-in", "manual", 24, "2.9321", "2.9322"),
    ("power-24-in", "power", 24, "6.2831", "6.2832"),
    ("manual-25-in", "manual", 25, "3.0543", "3.0544"),
    ("power-25-in", "power", 25, "6.5449", "6.5450"),
    ("manual-26-in", "manual", 26, "3.1764", "3.1765"),
    ("power-26-in", "power", 26, "6.8067", "6.8068"),
]
DRUM, DISC = {"brake_type": "drum"}, {"brake_type": "disc"}
SINCE_1998, BEFORE_1998 = {"built_on": date(1998, 1, 26)}, {"built_on": date(1998, 1, 25)}

PINS = [
    *(
        Pin(STROKE, limit, passes, fails, LATER, {"actuator": "clamp", "chamber_type": chamber, "stroke_class": stroke})
        for limit, chamber, stroke, passes, fails in CLAMP
    ),
    Pin(
        STROKE,
        "type-36-standard-until-2021",
        "2.25",
        "2.2501",
        LATER,
        {"actuator": "clamp", "chamber_type": "36", "stroke_class": "standard"},
        date(2021, 10, 13),
    ),
    *(
        Pin(STROKE, limit, passes, fails, LATER, {"actuator": actuator, "chamber_type": chamber})
        for limit, actuator, chamber, passes, fails in OTHER_CHAMBERS
    ),
    Pin(STROKE, "other-rated-stroke", "8000", "8000.0001", LATER, {"actuator": "other", "rated_stroke_in": MANY}),
    Pin(STROKE, "other-marked-limit", "10000", "10000.0001", LATER, {"actuator": "other", "marked_limit_in": MANY}),
    *(
        Pin(PLAY, limit, passes, fails, STOP, {"steering_assist": assist, "steering_wheel_diameter_in": diameter})
        for limit, assist, diameter, passes, fails in WHEEL
    ),
    Pin(LINING, "steer-drum-one-strip", "0.1875", "0.1874", STOP, {**DRUM, "role": "steer", "lining": "one_strip"}),
    Pin(LINING, "steer-drum-two-pads", "0.25", "0.2499", STOP, {**DRUM, "role": "steer", "lining": "two_pads"}),
    Pin(LINING, "steer-drum-quarter-inch", "0.25", "0.2499", LATER, {**DRUM, "role": "steer", "lining": "one_strip"}),
    Pin(LINING, "steer-disc", "0.125", "0.1249", STOP, {**DISC, "role": "steer"}),
    Pin(LINING, "other-drum", "0.25", "0.2499", STOP, {**DRUM, "role": "drive"}),
    Pin(LINING, "other-drum", "0.25", "0.2499", STOP, {**DRUM, "role": "trailer"}),
    Pin(LINING, "other-disc", "0.125", "0.1249", STOP, {**DISC, "role": "drive"}),
    Pin(LINING, "other-disc", "0.125", "0.1249", STOP, {**DISC, "role": "trailer"}),
    Pin("air.build-up-time", "build-up-45", "45", "46", LATER),
    Pin("air.governor.cut-in", "cut-in-80", "80", "79", SHOP),
    Pin("air.governor.cut-in", "cut-in-80", "10000", "9999", SHOP, {"governor_cut_in_psi": MANY}),
    Pin("air.governor.cut-in", "cut-in-usual", "100", "99", NOTE),
    Pin("air.governor.cut-in", "cut-in-usual", "10000", "9999", NOTE, {"governor_cut_in_psi": MANY}),
    Pin("air.governor.cut-out", "cut-out-135", "135", "136", SHOP),
    Pin("air.governor.cut-out", "cut-out-135", "10000", "10001", SHOP, {"governor_cut_out_psi": MANY}),
    Pin("air.governor.cut-out", "cut-out-usual", "115", "114", NOTE),
    Pin("air.governor.cut-out", "cut-out-usual", "8500", "8499", NOTE, {"governor_cut_out_psi": MANY}),
    Pin("air.leak.released-alone", "loss-2", "2", "2.1", LATER),
    Pin("air.leak.applied-alone", "loss-3", "3", "3.1", LATER),
    Pin("air.leak.released-coupled", "loss-3", "3", "3.1", LATER),
    Pin("air.leak.applied-coupled", "loss-4", "4", "4.1", LATER),
    Pin("air.low-pressure-warning", "not-on-by-55", "55", "54", STOP),
    Pin("air.low-pressure-warning", "not-on-before-60", "60", "59", LATER),
    Pin("air.trailer-supply-valve", "closes-20-to-45", "20", "19", STOP),
    Pin("air.trailer-supply-valve", "closes-20-to-45", "45", "46", STOP),
    Pin("air.lines.clearance", "clearance-18", "18", "17.9", SHOP),
    Pin("tires.steer.tread-depth", "minimum-4", "4", "3.9", STOP),
    Pin("tires.steer.tread-depth", "watch-6", "6", "5.9", NOTE),
    Pin("tires.drive.tread-depth", "minimum-2", "2", "1.9", STOP),
    Pin("tires.drive.tread-depth", "watch-4", "4", "3.9", NOTE),
    Pin("tires.trailer.tread-depth", "minimum-2", "2", "1.9", STOP),
    Pin("tires.trailer.tread-depth", "watch-4", "4", "3.9", NOTE),
    Pin("tires.steer.pressure", "half-of-marked-maximum", "5001", "5000", STOP, {"max_psi": MANY}),
    Pin("tires.drive.pressure", "half-of-marked-maximum", "5001", "5000", STOP, {"max_psi": MANY}),
    Pin("tires.trailer.pressure", "half-of-marked-maximum", "5001", "5000", STOP, {"max_psi": MANY}),
    Pin("tires.steer.pressure", "pressure-for-the-load", "10000", "9999", LATER, {"load_psi": MANY}),
    Pin("tires.drive.pressure", "pressure-for-the-load", "10000", "9999", LATER, {"load_psi": MANY}),
    Pin("tires.trailer.pressure", "pressure-for-the-load", "10000", "9999", LATER, {"load_psi": MANY}),
    Pin("tires.steer.pressure", "twenty-percent-under-target", "8000", "7999", LATER, {"target_psi": MANY}),
    Pin("tires.steer.pressure", "pressure-for-the-load-after-a-run", "10015", "10014", LATER, AFTER_A_RUN),
    Pin("tires.drive.pressure", "pressure-for-the-load-after-a-run", "10015", "10014", LATER, AFTER_A_RUN),
    Pin("tires.trailer.pressure", "pressure-for-the-load-after-a-run", "10005", "10004", LATER, SMALL_TIRE),
    Pin("tires.steer.pressure", "ten-percent-under-target", "9000", "8999", SHOP, {"target_psi": MANY}),
    Pin("tires.drive.pressure", "ten-percent-under-target", "9000", "8999", SHOP, {"target_psi": MANY}),
    Pin("tires.trailer.pressure", "ten-percent-under-target", "9000", "8999", SHOP, {"target_psi": MANY}),
    Pin("tires.duals.tread-difference", "pair-4", "4", "4.1", SHOP),
    Pin("tires.duals.tread-difference", "pair-watch-2", "2", "2.1", NOTE),
    Pin("tires.duals.diameter-difference", "diameter-half", "0.5", "0.501", SHOP),
    Pin("tires.duals.diameter-difference", "diameter-watch-quarter", "0.25", "0.251", NOTE),
    Pin("cab.windshield", "damage-three-quarters", "0.75", "0.751", LATER),
    Pin("emergency.triangles", "three-triangles", "3", "2", LATER),
    Pin("engine.belts", "play-three-quarters", "0.75", "0.751", SHOP),
    Pin("coupling.fifth-wheel.play", "half-inch", "0.5", "0.5001", STOP),
    Pin("coupling.kingpin.wear", "wear-eighth", "0.1249", "0.125", STOP),
    Pin("coupling.kingpin-to-rear-axle", "strictest-usual-40", "40", "40.01", NOTE),
    Pin("suspension.air-loss", "loss-3-in-5-minutes", "3", "3.1", LATER),
    Pin("suspension.slider-pins", "all-pins", "4", "3", STOP),
    Pin("suspension.slider-pins", "all-pins", "10000", "9999", STOP, {"slider_pins": MANY}),
    Pin("guard.rear.height", "built-since-1998", "22", "22.01", LATER, SINCE_1998),
    Pin("guard.rear.height", "built-before-1998", "30", "30.01", LATER, BEFORE_1998),
    Pin("guard.rear.set-in", "built-since-1998", "12", "12.01", LATER, SINCE_1998),
    Pin("guard.rear.set-in", "built-before-1998", "24", "24.01", LATER, BEFORE_1998),
    Pin("guard.rear.side-gap", "built-since-1998", "4", "4.01", LATER, SINCE_1998),
    Pin("guard.rear.side-gap", "built-before-1998", "18", "18.01", LATER, BEFORE_1998),
    Pin("lamps.trailer.tape-sides", "half-of-length", "50", "49", SHOP),
    Pin("lamps.trailer.tape-rear", "full-width", "100", "99", SHOP),
    Pin("trailer.empty-weight-gain", "gain-500", "500", "501", NOTE),
    Pin("doors.rear.seal", "tear-2", "2", "2.1", SHOP),
    Pin("doors.side.seal", "tear-2", "2", "2.1", SHOP),
    Pin("inside.floor-drains", "all-drains", "4", "3", SHOP),
    Pin("inside.floor-drains", "all-drains", "10000", "9999", SHOP, {"floor_drains": MANY}),
    Pin("airflow.chute", "none-missing", "0", "1", SHOP),
    Pin("airflow.return-opening", "all-free", "100", "99", SHOP),
    Pin("cooling.fuel.level", "eighth-of-tank", "1250", "1249.9", SHOP, {"tank_gal": MANY}),
    Pin("cooling.fuel.level", "quarter-of-tank", "2500", "2499.9", NOTE, {"tank_gal": MANY}),
    Pin("cooling.fuel.level", "trip-need", "10000", "9999.9", NOTE, {"fuel_needed_gal": MANY}),
    Pin("cooling.fuel.level", "drop-three-quarters", "7500", "7499.9", NOTE, {"tank_gal": MANY, "walk_kind": "drop"}),
    Pin("cooling.battery.voltage", "low-12-4", "12.40", "12.39", SHOP),
    Pin("cooling.battery.voltage", "flat-12-0", "12.00", "11.99", SHOP),
    Pin("cooling.circuit.condenser-face", "blocked-25", "25", "26", SHOP),
    Pin("cooling.start.tries", "three-tries", "3", "4", SHOP),
    Pin("cooling.setpoint", "above-order", "-10.0", "-9.9", SHOP, {"ordered_setpoint_f": -10}),
    Pin("cooling.setpoint", "below-order", "-10.0", "-10.1", SHOP, {"ordered_setpoint_f": -10}),
    Pin("cooling.setpoint", "ever-ordered", "-25", "-25.1", SHOP),
    Pin("cooling.setpoint", "ever-ordered", "80", "80.1", SHOP),
    Pin("cooling.return-air", "warmer-than-ordered", "38", "38.1", NOTE, {"ordered_highest_f": 38, "loaded": True}),
    Pin("cooling.return-air", "colder-than-ordered", "33", "32.9", NOTE, {"ordered_lowest_f": 33, "loaded": True}),
    Pin("cooling.return-air", "sensor-believable", "-40", "-40.1", SHOP),
    Pin("cooling.return-air", "sensor-believable", "130", "130.1", SHOP),
    Pin("cooling.sensor.return-air", "apart-3", "3", "3.1", SHOP),
    Pin("cooling.return-minus-supply", "at-least-8", "8", "7.9", SHOP),
    Pin("cooling.return-minus-supply", "as-learned", "11.5", "11.4", SHOP, {"least_air_drop_f": Decimal("11.5")}),
    Pin("cooling.defrost.duration", "longest-45", "45", "46", SHOP),
    Pin("cooling.recorder.clock", "drift-5", "5", "6", SHOP),
    Pin("cooling.hand-probe.ice-point", "apart-1", "1", "1.1", SHOP),
    Pin("air.full-application-drop", "drop-20", "20", "20.1", LATER),
    Pin("air.parking-valve", "pops-out-20-to-45", "20", "19", LATER),
    Pin("air.parking-valve", "pops-out-20-to-45", "45", "46", LATER),
    Pin("brakes.service.wedge", "scribe-sixteenth", "0.0625", "0.0626", LATER),
    Pin("brakes.service.drum-diameter", "as-marked", "10000", "10000.001", LATER, {"drum_limit_in": MANY}),
    Pin("brakes.service.rotor-thickness", "as-marked", "10000", "9999.999", LATER, {"rotor_limit_in": MANY}),
    Pin("brakes.trailer.breakaway-hold", "fifteen-minutes", "15", "14", STOP),
    Pin("coupling.fifth-wheel.pivot-play", "three-eighths", "0.375", "0.3751", STOP),
    Pin("coupling.fifth-wheel.slider-play", "three-eighths", "0.375", "0.3751", STOP),
    Pin("steering.ball-joints", "quarter-inch", "0.25", "0.2501", STOP),
    Pin("guard.rear.section", "section-100-mm", "3.94", "3.93", LATER, SINCE_1998),
    Pin("engine.exhaust-fluid", "tenth-of-tank", "10", "9", NOTE),
    Pin("fuel.tractor.level", "quarter-of-tank", "25", "24", NOTE),
]


def situation(facts: Mapping[str, object]) -> Situation:
    """A unit, an axle and surroundings of which nothing is known but these facts."""
    known = {name: Decimal(value) if isinstance(value, int) else value for name, value in facts.items()}
    of = {
        kind: {name: value for name, value in known.items() if name in kind.__slots__}
        for kind in (AxleFacts, UnitFacts, Conditions)
    }
    assert sum(len(some) for some in of.values()) == len(known)
    axle = AxleFacts(**{"number": 1, "role": "trailer", "dual": True, **of[AxleFacts]})  # type: ignore[arg-type]
    unit = UnitFacts(**{"kind": "trailer", **of[UnitFacts]}, axles=(axle,))  # type: ignore[arg-type]
    return Situation(unit, Conditions(**of[Conditions]), "", axle)  # type: ignore[arg-type]


def test_every_limit__is_typed_here() -> None:
    limits = {(point.name, limit.id) for point in load_catalogue().points.values() for limit in point.limits}
    assert {(pin.point, pin.limit) for pin in PINS} == limits


@pytest.mark.parametrize("pin", PINS, ids=[f"{at}:{pin.point}#{pin.limit}" for at, pin in enumerate(PINS)])
def test_limit__its_last_value_passes_and_the_next_step_fails(pin: Pin) -> None:
    asked, at = point(pin.point), situation(pin.facts)
    assert asked.measure is not None
    failed = {
        value: [
            compared.fails
            for compared in compare(asked, Decimal(value), at, pin.on).applied
            if compared.limit.id == pin.limit
        ]
        for value in (pin.passes, pin.fails)
    }
    assert failed == {pin.passes: [False], pin.fails: [True]}
    assert abs(Decimal(pin.passes) - Decimal(pin.fails)) == Decimal(1).scaleb(-asked.measure.decimals)
    limit = asked.limit(pin.limit)
    assert limit is not None
    assert limit.severity == pin.severity
