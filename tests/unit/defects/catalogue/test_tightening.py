"""A carrier's rules make the catalogue stricter and are refused where they would not."""

from datetime import date
from decimal import Decimal

import pytest

from defects.enums import Outcome, Severity
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue, point_document
from defects.rules.catalogue.tightening import (
    CarrierRule,
    LooseningRefusedError,
    NewPoint,
    OpenToTrainedDrivers,
    RaiseSeverity,
    StricterValue,
    read_carrier_rule,
    tighten,
)
from tests.support.rule_facts import COOLING_UNIT, DRIVER, TRACTOR, TRAILER, check, judge, point

STROKE = "brakes.service.pushrod-stroke"
TREAD = "tires.steer.tread-depth"
ANY_BRAKE = RaiseSeverity(STROKE, Severity.DO_NOT_MOVE, "any brake over its limit stays")


def own_point(name: str = "own.cab.tidy", **changes: object) -> NewPoint:
    document: dict[str, object] = {
        **point_document(point("cab.horn")),
        "name": name,
        "authority": "carrier",
        "part_group": "company",
    }
    return NewPoint({**document, **changes}, "a clean cab")


def test_every_brake_over_its_limit_do_not_move__regulations_grade_stays_known() -> None:
    over = check(STROKE, "fine", "axle-2-right", "2.31")
    stricter = tighten(load_catalogue(), [ANY_BRAKE])
    assert judge(over, TRAILER).severity is Severity.BEFORE_NEXT_USE
    verdict = judge(over, TRAILER, catalogue=stricter)
    assert (verdict.severity, verdict.bars) == (Severity.DO_NOT_MOVE, "movement")
    assert verdict.regulation_severity is Severity.BEFORE_NEXT_USE
    assert verdict.limit_id == "type-24-long"
    assert judge(check(STROKE, "fine", "axle-2-right", "2"), TRAILER, catalogue=stricter).outcome is Outcome.FINE


def test_one_finding_raised__the_others_stay() -> None:
    rule = RaiseSeverity("fuel.tractor.leak", Severity.BEFORE_NEXT_USE, "no seep leaves the yard", name="seep")
    stricter = tighten(load_catalogue(), [rule])
    seep = check("fuel.tractor.leak", "defect", finding="seep")
    assert judge(seep, TRACTOR).bars == "nothing"
    verdict = judge(seep, TRACTOR, catalogue=stricter)
    assert (verdict.severity, verdict.bars) == (Severity.BEFORE_NEXT_USE, "movement")


def test_stricter_value__stands_beside_the_regulations_and_decides_below_it() -> None:
    stricter = tighten(load_catalogue(), [StricterValue(STROKE, "type-24-long", Decimal("1.875"), "own margin")])
    for value, outcome, limit in [
        ("1.875", "fine", "type-24-long"),
        ("1.88", "finding", "own-type-24-long"),
        ("2.01", "finding", "type-24-long"),
    ]:
        verdict = judge(check(STROKE, "fine", "axle-2-right", value), TRAILER, catalogue=stricter)
        assert (verdict.outcome, verdict.limit_id) == (outcome, limit), value
    own = judge(check(STROKE, "fine", "axle-2-right", "1.9"), TRAILER, catalogue=stricter)
    assert own.regulation_severity is None
    assert str(own.source) == "carrier's own rule: own margin (own)"
    assert point(STROKE).limits == tuple(
        limit for limit in stricter.points[STROKE].limits if not limit.id.startswith("own-")
    )


def test_stricter_minimum__is_a_higher_one_with_its_own_severity() -> None:
    rule = StricterValue(TREAD, "minimum-4", Decimal(5), "winter", severity=Severity.BEFORE_NEXT_USE)
    stricter = tighten(load_catalogue(), [rule])
    verdict = judge(check(TREAD, "fine", "axle-1-left", "4.9"), TRACTOR, catalogue=stricter)
    assert (verdict.severity, verdict.limit_value) == (Severity.BEFORE_NEXT_USE, Decimal(5))
    worse = judge(check(TREAD, "fine", "axle-1-left", "3.9"), TRACTOR, catalogue=stricter)
    assert (worse.severity, worse.limit_id, worse.regulation_severity) == (
        Severity.DO_NOT_MOVE,
        "minimum-4",
        Severity.DO_NOT_MOVE,
    )


def test_opened_to_trained_drivers__only_trained_ones_pass_it() -> None:
    stricter = tighten(load_catalogue(), [OpenToTrainedDrivers(STROKE, "trained at North Yard")])
    facts = check(STROKE, "fine", "axle-2-right", "1.5", observer=type(DRIVER)(DRIVER.roles, trained=True))
    assert judge(facts, TRAILER, catalogue=stricter).outcome is Outcome.FINE
    assert judge(facts, TRAILER).outcome is Outcome.FLAGGED


def test_own_point__added_and_judged() -> None:
    stricter = tighten(load_catalogue(), [own_point()])
    assert judge(check("own.cab.tidy", "defect"), TRACTOR, catalogue=stricter).severity is Severity.BEFORE_NEXT_USE
    assert load_catalogue().get("own.cab.tidy") is None


def test_tightened_catalogue__another_hash_and_the_same_after_storing() -> None:
    rules: list[CarrierRule] = [ANY_BRAKE, own_point(), StricterValue(TREAD, "minimum-4", Decimal(5), "winter")]
    stricter = tighten(load_catalogue(), rules)
    assert stricter.content_hash != load_catalogue().content_hash
    assert Catalogue.from_document(stricter.to_document()) == stricter


def test_no_rules__the_same_catalogue() -> None:
    assert tighten(load_catalogue(), []) == load_catalogue()


REFUSED: list[tuple[CarrierRule, str]] = [
    (StricterValue(STROKE, "type-24-long", Decimal("2.1"), "looser"), "carrier_rule_not_stricter"),
    (StricterValue(STROKE, "type-24-long", Decimal(2), "the same"), "carrier_rule_not_stricter"),
    (StricterValue(TREAD, "minimum-4", Decimal(3), "looser"), "carrier_rule_not_stricter"),
    (StricterValue(TREAD, "watch-6", Decimal(5), "looser watch"), "carrier_rule_not_stricter"),
    (StricterValue(TREAD, "minimum-9", Decimal(5), "no such limit"), "carrier_rule_limit_unknown"),
    (
        StricterValue("tires.steer.pressure", "half-of-marked-maximum", Decimal(80), "no fixed value"),
        "carrier_rule_value_not_fixed",
    ),
    (
        StricterValue("air.trailer-supply-valve", "closes-20-to-45", Decimal(40), "two bounds"),
        "carrier_rule_value_not_fixed",
    ),
    (StricterValue(STROKE, "type-24-long", Decimal(-1), "nobody can measure it"), "carrier_rule_unsound"),
    (RaiseSeverity(TREAD, Severity.WATCH, "milder"), "carrier_rule_not_stricter"),
    (RaiseSeverity(TREAD, Severity.DO_NOT_MOVE, "the same", name="minimum-4"), "carrier_rule_not_stricter"),
    (RaiseSeverity(TREAD, Severity.DO_NOT_MOVE, "no such", name="minimum-9"), "carrier_rule_limit_unknown"),
    (RaiseSeverity("tires.steer.color", Severity.DO_NOT_MOVE, "no such point"), "carrier_rule_point_unknown"),
    (RaiseSeverity("cooling.alarms", Severity.DO_NOT_MOVE, "stop for an alarm", name="stop"), "carrier_rule_unsound"),
    (RaiseSeverity("cooling.defrost.duration", Severity.DO_NOT_MOVE, "stop for a defrost"), "carrier_rule_unsound"),
    (OpenToTrainedDrivers("cab.horn", "anybody may already"), "carrier_rule_open_already"),
    (own_point(name="cab.horn"), "carrier_rule_name_taken"),
    (own_point(name="cab.tidy"), "carrier_rule_name_taken"),
    (own_point(authority="statutory", part_group="horn"), "carrier_rule_not_carriers"),
    (own_point(color="red"), "carrier_rule_unsound"),
    (own_point(part_group="horn"), "carrier_rule_unsound"),
]


@pytest.mark.parametrize(("rule", "code"), REFUSED)
def test_rule_that_would_not_tighten__refused_with_its_reason(rule: CarrierRule, code: str) -> None:
    with pytest.raises(LooseningRefusedError) as refused:
        tighten(load_catalogue(), [ANY_BRAKE, rule])
    assert (refused.value.code, refused.value.facts["index"]) == (code, 1)
    assert [problem.pointer for problem in refused.value.problems] == ["/rules/1"]


def test_own_limit_already_stricter__cannot_be_loosened_by_a_later_rule() -> None:
    first = StricterValue(STROKE, "type-24-long", Decimal("1.75"), "own margin")
    second = StricterValue(STROKE, "type-24-long", Decimal("1.9"), "second thoughts")
    with pytest.raises(LooseningRefusedError) as refused:
        tighten(load_catalogue(), [first, second])
    assert refused.value.facts["present"] == "1.75"
    tighter = tighten(load_catalogue(), [second, first])
    own = tighter.points[STROKE].limit("own-type-24-long")
    assert own is not None
    assert own.value == Decimal("1.75")


def test_later_rule_with_a_milder_grade__cannot_replace_the_own_limit() -> None:
    first = StricterValue(TREAD, "minimum-4", Decimal(5), "winter", severity=Severity.BEFORE_NEXT_USE)
    second = StricterValue(TREAD, "minimum-4", Decimal("5.5"), "spring", severity=Severity.NEXT_SHOP_VISIT)
    with pytest.raises(LooseningRefusedError) as refused:
        tighten(load_catalogue(), [first, second])
    assert refused.value.code == "carrier_rule_not_stricter"
    tighter = tighten(
        load_catalogue(), [second, first.__class__(TREAD, "minimum-4", Decimal(6), "w", Severity.DO_NOT_MOVE)]
    )
    assert (
        judge(check(TREAD, "fine", "axle-1-left", "5.9"), TRACTOR, catalogue=tighter).severity is Severity.DO_NOT_MOVE
    )


def test_whole_cooling_point_raised__what_keeps_cold_freight_off_is_left_alone() -> None:
    stricter = tighten(
        load_catalogue(), [RaiseSeverity("cooling.alarms", Severity.NEXT_SHOP_VISIT, "look at every alarm")]
    )
    note = judge(check("cooling.alarms", "defect", finding="note"), COOLING_UNIT, catalogue=stricter)
    stop = judge(check("cooling.alarms", "defect", finding="stop"), COOLING_UNIT, catalogue=stricter)
    assert (note.severity, note.bars) == (Severity.NEXT_SHOP_VISIT, "nothing")
    assert (stop.severity, stop.bars) == (Severity.NEXT_SHOP_VISIT, "cold_freight")


def test_dated_limit__its_stricter_one_keeps_the_dates() -> None:
    stricter = tighten(load_catalogue(), [StricterValue(STROKE, "type-36-standard", Decimal("2.25"), "as before")])
    own = stricter.points[STROKE].limit("own-type-36-standard")
    assert own is not None
    assert (own.effective_from, own.effective_until) == (date(2021, 10, 14), None)


@pytest.mark.parametrize(
    ("document", "rule"),
    [
        (
            {"rule": "raise_severity", "point": STROKE, "severity": "do_not_move", "reason": "r"},
            RaiseSeverity(STROKE, Severity.DO_NOT_MOVE, "r"),
        ),
        (
            {"rule": "raise_severity", "point": STROKE, "severity": "do_not_move", "reason": "r", "name": "x"},
            RaiseSeverity(STROKE, Severity.DO_NOT_MOVE, "r", "x"),
        ),
        (
            {"rule": "stricter_value", "point": TREAD, "limit": "minimum-4", "value": "5", "reason": "r"},
            StricterValue(TREAD, "minimum-4", Decimal(5), "r"),
        ),
        ({"rule": "open_to_trained_drivers", "point": STROKE, "reason": "r"}, OpenToTrainedDrivers(STROKE, "r")),
        ({"rule": "new_point", "document": {"name": "own.x"}, "reason": "r"}, NewPoint({"name": "own.x"}, "r")),
    ],
)
def test_stored_rule__read(document: dict[str, object], rule: CarrierRule) -> None:
    assert read_carrier_rule(document) == (rule, [])


@pytest.mark.parametrize(
    ("document", "field"),
    [
        ({"rule": "loosen", "point": STROKE, "severity": "watch", "reason": "r"}, "rule"),
        ({"rule": "raise_severity", "point": STROKE, "severity": "awful", "reason": "r"}, "severity"),
        ({"rule": "raise_severity", "point": STROKE, "severity": "watch"}, "reason"),
        ({"rule": "raise_severity", "point": STROKE, "severity": "watch", "reason": "r", "value": 1}, "value"),
        ({"rule": "stricter_value", "point": TREAD, "limit": "minimum-4", "value": 5.5, "reason": "r"}, "value"),
        ({"rule": "new_point", "reason": "r"}, "document"),
    ],
)
def test_stored_rule_that_is_malformed__refused_by_field(document: dict[str, object], field: str) -> None:
    rule, problems = read_carrier_rule(document)
    assert rule is None
    assert [where for where, _ in problems] == [field]
