"""Limits that a workshop measures, as their texts print them: just under, at and just over.

Sources, texts read: 393.47(f) "shall not exceed 1.6 mm (1/16 inch)", a wedge brake's scribe mark; 393.47(g) drums and
rotors not thinner than their makers' limits; 393.53(b), (c) automatic adjusters and indicators on what was built on or
after 20 October 1994; 393.55(c) anti-lock on tractors built from 1 March 1997, on trailers from 1 March 1998; 393.43(d)
trailer brakes stay on at least 15 minutes after a breakaway; 393.86(a)(5) a guard's
section at least 100 mm (3.94 in); 570.57(a)(1) one full application takes at most 20 percent; Part 396 Appendix A
(read as Appendix G of 2015) 2.a(2), (3) fifth-wheel pivot and slider over 3/8 in, 7.g ball joints over 1/4 in.
A licence manual, as quoted by a driver training site: the parking brake valve pops out "between 20 and 45 psi".
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.walkarounds.looks import asked_of
from tests.support.rule_facts import BY_DAY, TODAY, TRACTOR, TRAILER, check, judge, with_axles

FINE = None
LATER, STOP = "before_next_use", "do_not_move"
MARKED = with_axles(TRAILER, drum_limit_in=Decimal("16.620"))
DISC = with_axles(TRAILER, brake_type="disc", rotor_limit_in=Decimal("1.460"))
AXLE = "axle-2-right"

CASES: list[tuple[str, str, UnitFacts, str, str | None]] = [
    (name, place, unit, value, severity)
    for name, place, unit, *steps in (
        ("brakes.service.wedge", AXLE, TRAILER, ("0.0624", FINE), ("0.0625", FINE), ("0.0626", LATER)),
        ("brakes.service.wedge", "axle-1-left", TRACTOR, ("0.0625", FINE), ("0.0626", STOP)),
        ("brakes.service.drum-diameter", AXLE, MARKED, ("16.619", FINE), ("16.620", FINE), ("16.621", LATER)),
        ("brakes.service.rotor-thickness", AXLE, DISC, ("1.459", LATER), ("1.460", FINE), ("1.461", FINE)),
        ("brakes.trailer.breakaway-hold", "", TRAILER, ("14", STOP), ("15", FINE), ("16", FINE)),
        ("guard.rear.section", "", TRAILER, ("3.93", LATER), ("3.94", FINE), ("3.95", FINE)),
        ("air.full-application-drop", "", TRACTOR, ("19.9", FINE), ("20", FINE), ("20.1", LATER)),
        ("air.parking-valve", "", TRACTOR, ("19", LATER), ("20", FINE), ("45", FINE), ("46", LATER)),
        ("coupling.fifth-wheel.pivot-play", "", TRACTOR, ("0.3749", FINE), ("0.375", FINE), ("0.3751", STOP)),
        ("coupling.fifth-wheel.slider-play", "", TRACTOR, ("0.3749", FINE), ("0.375", FINE), ("0.3751", STOP)),
        ("steering.ball-joints", "left", TRACTOR, ("0.2499", FINE), ("0.25", FINE), ("0.2501", STOP)),
    )
    for value, severity in steps
]


@pytest.mark.parametrize(("name", "place", "unit", "value", "severity"), CASES)
def test_limit__just_under_at_and_just_over(
    name: str, place: str, unit: UnitFacts, value: str, severity: str | None
) -> None:
    verdict = judge(check(name, "fine", place, value), unit)
    assert (verdict.outcome, verdict.severity) == ("fine" if severity is None else "finding", severity)


@pytest.mark.parametrize("name", ["brakes.service.drum-diameter", "brakes.service.rotor-thickness"])
def test_limit_that_nobody_recorded__the_value_is_flagged_and_never_passed(name: str) -> None:
    unit = with_axles(TRAILER, brake_type="drum" if "drum" in name else "disc")
    assert judge(check(name, "fine", AXLE, "12" if "drum" in name else "2"), unit).outcome == "flagged"


@pytest.mark.parametrize(
    ("name", "first_day"),
    [
        ("brakes.service.adjusters", date(1994, 10, 20)),
        ("guard.rear.section", date(1998, 1, 26)),
        ("air.trailer.abs-lamp", date(1998, 3, 1)),
        ("air.tractor.abs-lamp", date(1997, 3, 1)),
    ],
)
def test_rule_for_units_built_from_a_day__asked_from_that_day_on(name: str, first_day: date) -> None:
    def is_asked(built_on: date) -> bool:
        unit = replace(TRACTOR if "tractor" in name else TRAILER, built_on=built_on)
        return name in {row.point.name for row in asked_of(load_catalogue(), unit, BY_DAY, TODAY)}

    assert is_asked(first_day)
    assert not is_asked(date.fromordinal(first_day.toordinal() - 1))


def test_cargo_check__its_ask_names_every_time_of_392_9_b() -> None:
    found = load_catalogue().get("cargo.securement")
    assert found is not None
    english, spanish = (found.text[language].ask for language in ("en", "es"))  # type: ignore[index]
    for figure in ("50 miles", "3 hours", "150 miles", "change of duty"):
        assert figure in english
    for figure in ("50 millas", "3 horas", "150 millas", "cambio de estado de servicio"):
        assert figure in spanish
