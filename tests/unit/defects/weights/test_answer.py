"""What a scale ticket does to an answer: over a limit it bars, unknown it is said, a slide that helps is named."""

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest

from defects.enums import ClearanceAnswer, TemperatureClass
from defects.rules.clearance.codes import Code
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.snapshot import PermitFact, WeighedFact
from defects.rules.weights import AxleGroup, AxlePlace, Tandem, WeightUnknown
from tests.unit.defects.clearance.snapshots import NOW, load, snapshot

ABOARD = load(TemperatureClass.DRY, pre_loaded=True, weighs=True)
PLACES = (("NL-11", 1, 0), ("NL-11", 2, 150), ("NL-11", 3, 202), ("LR-41", 1, 603), ("LR-41", 2, 652))
TANDEM = Tandem(480, 49, 6)
DAY = NOW.date()


def weighed(*pounds: int, rear_at: int = 0, tires: int = 50_000) -> WeighedFact:
    axles = [AxlePlace(unit, number, at - (rear_at if unit == "LR-41" else 0), 0, tires) for unit, number, at in PLACES]
    groups = zip(((0, 1), (1, 3), (3, 5)), pounds, strict=True)
    return WeighedFact(NOW, tuple(AxleGroup(tuple(axles[a:b]), Fraction(lb)) for (a, b), lb in groups), TANDEM)


@pytest.mark.parametrize(
    ("fact", "codes"),
    [
        (weighed(12_000, 34_000, 34_000), set()),
        (weighed(20_001, 28_000, 29_000), {Code.AXLES_OVERWEIGHT}),
        (weighed(12_100, 34_000, 34_000), {Code.GROSS_OVERWEIGHT}),
        (weighed(12_000, 33_000, 33_000, rear_at=200), {Code.BRIDGE_OVERWEIGHT}),
        (weighed(12_000, 30_000, 30_000, tires=11_999), {Code.TIRES_OVERLOADED}),
    ],
)
def test_weight_over_a_limit__bars(fact: WeighedFact, codes: set[Code]) -> None:
    answer = answer_clearance(snapshot(load=ABOARD, weighed=fact))
    assert {reason.code for reason in answer.reasons} == codes
    assert (answer.answer == ClearanceAnswer.BARRED) is bool(codes)


def test_slide__is_named_where_one_helps() -> None:
    helped, not_helped = (
        answer_clearance(snapshot(load=ABOARD, weighed=weighed(*pounds))).reasons[0]
        for pounds in ((12_000, 34_700, 31_000), (12_000, 34_100, 33_900))
    )
    assert (helped.unit, dict(helped.facts)["holes"], dict(helped.facts)["rearward"]) == ("NL-11", 2, False)
    assert "holes" not in dict(not_helped.facts)


def test_load_that_was_not_weighed__unknown_and_not_barred() -> None:
    answer = answer_clearance(snapshot(load=ABOARD))
    assert [row.code for row in answer.unknown] == [Code.NOT_WEIGHED]
    assert answer.answer == ClearanceAnswer.NOTHING_KNOWN_AGAINST
    assert answer_clearance(snapshot(load=load(TemperatureClass.DRY, pre_loaded=True))).unknown == ()


def test_flagged_ticket__compared_with_nothing() -> None:
    flagged = WeighedFact(NOW, unusable=WeightUnknown.TICKET_FLAGGED)
    answer = answer_clearance(snapshot(load=ABOARD, weighed=flagged))
    assert [(row.code, dict(row.facts)) for row in answer.unknown] == [
        (Code.WEIGHTS_NOT_COMPARED, {"why": "ticket_flagged"})
    ]


IL = PermitFact("H-4471", "IL", DAY, DAY + timedelta(days=3), tandem_lb=36_000, gross_lb=82_000)
OVER = weighed(12_000, 36_000, 34_000)


def permitted(fact: WeighedFact, *permits: PermitFact, states: str = "IL") -> tuple[set[Code], list[str]]:
    """The codes of what bars by weight, and the permits that are said."""
    aboard = replace(ABOARD, permits=permits, us_states=frozenset(states.split()))
    answer = answer_clearance(snapshot(load=aboard, weighed=fact))
    said = [row for row in answer.left_open if row.code is Code.OVERWEIGHT_PERMITTED]
    return {reason.code for reason in answer.reasons}, [str(dict(row.facts)["permits"]) for row in said]


def test_weight_that_a_permit_allows__does_not_bar_and_names_the_permit() -> None:
    assert permitted(OVER, IL) == (set(), ["IL H-4471"] * 2)  # the tandem, and the gross weight
    both = permitted(OVER, IL, replace(IL, us_state="IA", number="22-9"), states="IA IL")
    assert both == (set(), ["IA 22-9, IL H-4471"] * 2)


@pytest.mark.parametrize(
    ("permit", "states"),
    [
        (replace(IL, starts_on=DAY + timedelta(days=3), ends_on=DAY + timedelta(days=9)), "IL"),
        (replace(IL, starts_on=DAY - timedelta(days=9), ends_on=DAY - timedelta(days=1)), "IL"),
        (IL, ""),
        (IL, "IA"),
        (IL, "IA IL"),
    ],
)
def test_permit_of_other_days_or_not_of_every_state__lifts_no_bar(permit: PermitFact, states: str) -> None:
    assert permitted(OVER, permit, states=states) == ({Code.AXLES_OVERWEIGHT, Code.GROSS_OVERWEIGHT}, [])


@pytest.mark.parametrize(
    ("pounds", "barred"),
    [
        ((12_000, 36_000, 34_000), set()),
        ((11_999, 36_001, 33_999), {Code.AXLES_OVERWEIGHT}),
        ((12_001, 36_000, 34_000), {Code.GROSS_OVERWEIGHT, Code.BRIDGE_OVERWEIGHT}),
        ((20_001, 28_000, 29_000), {Code.AXLES_OVERWEIGHT}),
    ],
)
def test_weight_at_and_over_what_a_permit_allows(pounds: tuple[int, ...], barred: set[Code]) -> None:
    assert permitted(weighed(*pounds), IL)[0] == barred


def test_bridge_formula_and_tires__a_permit_raises_the_one_and_never_the_other() -> None:
    bridge = weighed(12_000, 33_000, 33_000, rear_at=200)
    assert permitted(bridge, replace(IL, gross_lb=None))[0] == {Code.BRIDGE_OVERWEIGHT}
    assert permitted(bridge, replace(IL, group_lb=78_000))[0] == set()
    assert permitted(weighed(12_000, 30_000, 30_000, tires=11_999), IL)[0] == {Code.TIRES_OVERLOADED}
