"""Matching a clause: every key yes, no and not known; and shares of a recorded figure."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from defects.rules.catalogue.clauses import Clause, WhenValue
from defects.rules.catalogue.conditions import MATCHERS, Match, Situation, match, threshold
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts
from defects.rules.catalogue.points import Threshold

AXLE = AxleFacts(2, "drive", dual=True, brake_type="drum", chamber_type="24", stroke_class="long", lining="two_pads")
UNIT = UnitFacts("tractor", steering_wheel_diameter_in=Decimal(18), steering_assist="power", built_on=date(1998, 1, 26))
HERE = Conditions(night=True, raining=False, loaded=True, cold_load=False, coupled=True, walk_kind="drop")
KNOWN = Situation(UNIT, HERE, "left", AXLE)
NOTHING = Situation(UnitFacts("tractor"), Conditions(), "left", None)

ROWS: list[tuple[str, WhenValue, WhenValue]] = [
    ("place", "left", "right"),
    ("axle_role", "drive", "steer"),
    ("dual", True, False),
    ("brake_type", "drum", "disc"),
    ("actuator", "clamp", "bolt"),
    ("chamber_type", "24", "30"),
    ("stroke_class", "long", "standard"),
    ("lining", "two_pads", "one_strip"),
    ("unit_kind", "tractor", "trailer"),
    ("wheel_diameter_in", Decimal("18.0"), Decimal(20)),
    ("wheel_diameter_up_to_in", Decimal(18), Decimal("17.9")),
    ("steering_assist", "power", "manual"),
    ("built_from", date(1998, 1, 26), date(1998, 1, 27)),
    ("built_before", date(1998, 1, 27), date(1998, 1, 26)),
    ("night", True, False),
    ("raining", False, True),
    ("loaded", True, False),
    ("cold_load", False, True),
    ("coupled", True, False),
    ("walk_kind", "drop", "pre_trip"),
]


def test_rows__name_every_key_of_the_vocabulary() -> None:
    assert {key for key, _, _ in ROWS} == set(MATCHERS) == set(Clause.__annotations__)


@pytest.mark.parametrize(("key", "yes", "no"), ROWS)
def test_key__yes_no_and_not_known(key: str, yes: WhenValue, no: WhenValue) -> None:
    assert match({key: (yes,)}, KNOWN) is Match.YES
    assert match({key: (no,)}, KNOWN) is Match.NO
    unknown = Match.YES if key in {"place", "unit_kind"} else Match.UNKNOWN
    assert match({key: (yes,)}, NOTHING) is unknown


def test_several_values__any_of_them() -> None:
    assert match({"axle_role": ("steer", "drive")}, KNOWN) is Match.YES
    assert match({"axle_role": ("steer", "trailer")}, KNOWN) is Match.NO


def test_several_keys__one_no_decides_even_beside_an_unknown() -> None:
    half = replace(KNOWN, conditions=Conditions(night=True))
    assert match({"raining": (True,), "night": (False,)}, half) is Match.NO
    assert match({"raining": (True,), "night": (True,)}, half) is Match.UNKNOWN
    assert match({"night": (True,), "place": ("left",)}, half) is Match.YES
    assert match({}, NOTHING) is Match.YES


@pytest.mark.parametrize(
    ("year", "answer"), [(1997, Match.NO), (1998, Match.UNKNOWN), (1999, Match.UNKNOWN), (2000, Match.YES)]
)
def test_model_year__decides_only_where_it_cannot_straddle_the_day(year: int, answer: Match) -> None:
    situation = replace(KNOWN, unit=UnitFacts("trailer", model_year=year))
    assert match({"built_from": (date(1998, 1, 26),)}, situation) is answer


def test_share__exact_and_from_the_usual_figure_where_none_is_recorded() -> None:
    tires = replace(KNOWN, axle=replace(AXLE, max_psi=Decimal(125)))
    assert threshold(Threshold("max_psi", Decimal(50)), tires) == Decimal("62.5")
    assert threshold(Threshold("max_psi", Decimal(50)), KNOWN) is None
    assert threshold(Threshold("slider_pins", Decimal(100), otherwise=Decimal(4)), KNOWN) == 4
