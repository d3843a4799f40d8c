"""Facts for the rules' tests: a plain unit of each kind with everything recorded, and one answer to one point."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.observed import AxleFacts, Conditions, Observer, UnitFacts
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.body import CheckBody
from defects.rules.walkarounds.judge import judge_check
from defects.rules.walkarounds.verdicts import Circumstances, FlagCode, Verdict
from tests.support.submissions import answer_to

TODAY = date(2026, 3, 6)
QUALIFIED = Observer(roles=frozenset({"mechanic"}), qualified=True)
DRIVER = Observer(roles=frozenset({"driver"}))
BY_DAY = Conditions(
    night=False, raining=False, loaded=True, cold_load=True, coupled=True, walk_kind="pre_trip", fuel_needed_gal=None
)


def axle(number: int, role: str, *, dual: bool = True) -> AxleFacts:
    """A drum-braked axle, type 24 long-stroke chambers, 100 psi in tires marked for 130."""
    return AxleFacts(
        number=number,
        role=role,
        dual=dual,
        brake_type="drum",
        chamber_type="24",
        stroke_class="long",
        lining="two_pads",
        target_psi=Decimal(100),
        max_psi=Decimal(130),
    )


TRACTOR = UnitFacts(
    kind="tractor",
    axles=(axle(1, "steer", dual=False), axle(2, "drive"), axle(3, "drive")),
    steering_wheel_diameter_in=Decimal(20),
    steering_assist="power",
    model_year=2022,
)
TRAILER = UnitFacts(
    kind="trailer",
    axles=(axle(1, "trailer"), axle(2, "trailer")),
    slider_pins=Decimal(4),
    floor_drains=Decimal(4),
    built_on=date(2021, 5, 1),
)
COOLING_UNIT = UnitFacts(kind="cooling_unit", tank_gal=Decimal(50), model_year=2021)
UNITS: Mapping[str, UnitFacts] = {"tractor": TRACTOR, "trailer": TRAILER, "cooling_unit": COOLING_UNIT}


def point(name: str) -> Point:
    """A point of the catalogue that comes with the code."""
    found = load_catalogue().get(name)
    assert found is not None, name
    return found


def with_axles(unit: UnitFacts, **changes: object) -> UnitFacts:
    """The unit with the same change on every axle."""
    return replace(unit, axles=tuple(replace(one, **changes) for one in unit.axles))  # type: ignore[arg-type]


@dataclass(frozen=True)
class Answered:
    """An answer, and who gave it."""

    check: CheckBody
    observer: Observer


def check(
    name: str, answer: str = "fine", place: str = "", value: str = "", *, observer: Observer = QUALIFIED, **more: Any
) -> Answered:
    """One answer; a value comes with the point's own unit of measure unless another is given."""
    known = load_catalogue().get(name)
    if value and "unit_of_measure" not in more and known is not None and known.measure is not None:
        more["unit_of_measure"] = str(known.measure.unit_of_measure)
    return Answered(answer_to(name, answer, place, value=value, **more), observer)


def judge(
    answered: Answered,
    unit: UnitFacts,
    conditions: Conditions = BY_DAY,
    on: date = TODAY,
    catalogue: Catalogue | None = None,
) -> Verdict:
    """The verdict by the catalogue that comes with the code, or by another."""
    under = Circumstances((catalogue or load_catalogue(),), conditions, on, lambda _: answered.observer)
    return judge_check(answered.check, unit, under)


def codes(verdict: Verdict) -> list[FlagCode]:
    """The codes of what is flagged, in order."""
    return [flag.code for flag in verdict.flags]
