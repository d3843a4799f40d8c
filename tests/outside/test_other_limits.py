"""Other measured limits of coupling, suspension, glass, marking and safety gear, and the trade's own figures.

Sources, texts read: Part 396 Appendix A 2.a(4) fifth wheel 1/2 in; 393.207(f) air suspension 3 psi in 5 minutes;
393.207(b) locking pins none missing or disengaged; 393.60(c)(3) damaged area 3/4 in; 571.108 S8.2.3.2.2 half of the
trailer's length; 393.95(f) three triangles; 570.62(b) duals within 1/2 in. Quoted in an audit against the texts:
571.108 S8.2.3.1.1 the full width of the rear; COMAR 11.22.04.11 B(2) a kingpin "worn 1/8 inch or more", one State's.
Common practice, no published source: air lines 18 in above the ground, four slider pins, no air-chute fastener
missing, return opening wholly free, four drain plugs, duals within 4/32 in and 1/4 in, belt play 3/4 in. Our own: the
rest, as said beside each.
"""

from typing import Any

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import Conditions
from tests.support.rule_facts import BY_DAY, UNITS, check, judge

FINE = None
CONDITIONS = {True: BY_DAY, False: Conditions(coupled=False)}
CASES: list[tuple[Any, ...]] = [
    ("coupling.fifth-wheel.play", "", ("0.4999", FINE), ("0.5", FINE), ("0.5001", "do_not_move")),
    ("suspension.air-loss", "", ("2.9", FINE), ("3", FINE), ("3.1", "before_next_use")),
    ("suspension.slider-pins", "", ("3", "do_not_move"), ("4", FINE)),
    ("cab.windshield", "", ("0.749", FINE), ("0.75", FINE), ("0.751", "before_next_use")),
    ("lamps.trailer.tape-sides", "left", ("49", "next_shop_visit"), ("50", FINE), ("51", FINE)),
    ("emergency.triangles", "", ("2", "before_next_use"), ("3", FINE), ("4", FINE)),
    (
        "tires.duals.diameter-difference",
        "axle-2-left",
        ("0.25", FINE),
        ("0.251", "watch"),
        ("0.5", "watch"),
        ("0.501", "next_shop_visit"),
    ),
    # common practice
    ("air.lines.clearance", "", ("17.9", "next_shop_visit"), ("18", FINE), ("18.1", FINE)),
    ("lamps.trailer.tape-rear", "", ("99", "next_shop_visit"), ("100", FINE)),
    ("airflow.chute", "", ("0", FINE), ("1", "next_shop_visit")),
    ("airflow.return-opening", "", ("99", "next_shop_visit"), ("100", FINE)),
    ("inside.floor-drains", "", ("3", "next_shop_visit"), ("4", FINE)),
    (
        "tires.duals.tread-difference",
        "axle-2-left",
        ("2", FINE),
        ("2.1", "watch"),
        ("4", "watch"),
        ("4.1", "next_shop_visit"),
    ),
    ("engine.belts", "", ("0.75", FINE), ("0.751", "next_shop_visit")),
    # one State's limit, taken as the carrier's own
    ("coupling.kingpin.wear", "", ("0.1249", FINE), ("0.125", "do_not_move"), ("0.1251", "do_not_move")),
    # our own
    ("doors.rear.seal", "left", ("2", FINE), ("2.1", "next_shop_visit")),
    ("doors.side.seal", "left", ("2", FINE), ("2.1", "next_shop_visit")),
    ("coupling.kingpin-to-rear-axle", "", ("39.99", FINE), ("40", FINE), ("40.01", "watch")),
    ("trailer.empty-weight-gain", "", ("500", FINE), ("501", "watch")),
    ("cooling.battery.voltage", "", ("11.99", "next_shop_visit"), ("12.39", "next_shop_visit"), ("12.4", FINE)),
    ("cooling.circuit.condenser-face", "", ("25", FINE), ("26", "next_shop_visit")),
    ("cooling.start.tries", "", ("3", FINE), ("4", "next_shop_visit")),
    ("cooling.setpoint", "", ("-25.1", "next_shop_visit"), ("-25", FINE)),
    ("cooling.setpoint", "", ("80", FINE), ("80.1", "next_shop_visit")),
    (
        "cooling.return-air",
        "",
        ("-40.1", "next_shop_visit"),
        ("-40", FINE),
        ("130", FINE),
        ("130.1", "next_shop_visit"),
    ),
    ("cooling.sensor.return-air", "", ("3", FINE), ("3.1", "next_shop_visit")),
    ("cooling.return-minus-supply", "", ("7.9", "next_shop_visit"), ("8", FINE)),
    ("cooling.defrost.duration", "", ("45", FINE), ("46", "next_shop_visit")),
    ("cooling.recorder.clock", "", ("5", FINE), ("6", "next_shop_visit")),
    ("cooling.hand-probe.ice-point", "", ("1", FINE), ("1.1", "next_shop_visit")),
    # a 50-gallon tank: an eighth is 6.25, a quarter 12.5
    ("cooling.fuel.level", "", ("6.2", "next_shop_visit"), ("6.3", "watch"), ("12.4", "watch"), ("12.5", FINE)),
]
STEPS = [(name, place, value, severity) for name, place, *steps in CASES for value, severity in steps]


@pytest.mark.parametrize(("name", "place", "value", "severity"), STEPS)
def test_limit__just_under_at_and_just_over(name: str, place: str, value: str, severity: str | None) -> None:
    found = load_catalogue().get(name)
    assert found is not None
    coupled = name != "coupling.kingpin.wear"
    verdict = judge(check(name, "fine", place, value), UNITS[found.unit_kinds[0]], CONDITIONS[coupled])
    assert verdict.outcome == ("fine" if severity is None else "finding")
    assert verdict.severity == severity


@pytest.mark.parametrize(("value", "bars"), [("11.99", "cold_freight"), ("12", "nothing"), ("12.39", "nothing")])
def test_battery_at_rest__flat_keeps_cold_freight_off_and_low_does_not(value: str, bars: str) -> None:
    verdict = judge(check("cooling.battery.voltage", "fine", "", value), UNITS["cooling_unit"])
    assert (verdict.severity, verdict.bars) == ("next_shop_visit", bars)
