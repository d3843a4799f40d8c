"""Which limits are shown at a place before anything is measured there."""

from datetime import date
from decimal import Decimal

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.limits import limits_at
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts

TODAY = date(2026, 11, 25)
STROKE = load_catalogue().points["brakes.service.pushrod-stroke"]


def shown(axle: AxleFacts | None, on: date = TODAY) -> list[tuple[str, Decimal | None, bool]]:
    unit = UnitFacts("trailer", () if axle is None else (axle,))
    found = limits_at(STROKE, Situation(unit, Conditions(), "axle-1-left", axle), on)
    return [(limit.limit.id, limit.figure, limit.certain) for limit in found]


def axle(chamber: str | None, stroke: str | None) -> AxleFacts:
    return AxleFacts(1, "trailer", dual=True, brake_type="drum", chamber_type=chamber, stroke_class=stroke)


def test_chamber_and_stroke_recorded__the_one_limit_of_it() -> None:
    assert shown(axle("24", "long")) == [("type-24-long", Decimal(2), True)]


def test_limit_changed_on_a_day__the_one_of_the_day() -> None:
    """Type 36: 2-1/4 in until 13 October 2021, 2-1/2 in since (86 FR 57076)."""
    before, since = date(2021, 10, 13), date(2021, 10, 14)
    assert [figure for _, figure, _ in shown(axle("36", "standard"), before)] == [Decimal("2.25")]
    assert [figure for _, figure, _ in shown(axle("36", "standard"), since)] == [Decimal("2.5")]


def test_stroke_class_not_recorded__every_limit_that_may_hold_and_none_for_certain() -> None:
    found = shown(axle("24", None))
    assert {name for name, _, _ in found} == {"type-24-standard", "type-24-long", "type-24-long-3-in"}
    assert [certain for _, _, certain in found] == [False] * 3


def test_share_of_a_figure__the_figure_itself_once_it_is_recorded() -> None:
    pressure = load_catalogue().points["tires.trailer.pressure"]
    recorded = AxleFacts(1, "trailer", dual=True, target_psi=Decimal(100), max_psi=Decimal(110), load_psi=Decimal(85))
    for facts, expected in (
        (recorded, {Decimal(55): True, Decimal(85): True, Decimal(90): True}),
        (AxleFacts(1, "trailer", dual=True), {None: False}),
    ):
        situation = Situation(UnitFacts("trailer", (facts,)), Conditions(), "axle-1-left-outer", facts)
        found = limits_at(pressure, situation, TODAY)
        assert {limit.figure: limit.certain for limit in found} == expected
        assert len(found) == len(expected)
