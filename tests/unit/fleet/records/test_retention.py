"""Keep-until dates: unknown ends, several duties on one record, and refusals."""

from datetime import date

import pytest

from fleet.rules.records.retention import RECORD_KINDS, retained_until

DAY = date(2026, 3, 5)


@pytest.mark.parametrize("kind", sorted(kind for kind, rule in RECORD_KINDS.items() if rule.until_over))
def test_duty_that_goes_on__kept_without_a_date(kind: str) -> None:
    assert retained_until(kind, None).until is None


@pytest.mark.parametrize("kind", sorted(kind for kind, rule in RECORD_KINDS.items() if not rule.until_over))
def test_day_that_must_be_known__refused_without_it(kind: str) -> None:
    with pytest.raises(ValueError, match="counted from"):
        retained_until(kind, None)


def test_duties_that_may_go_on__are_these() -> None:
    assert {kind for kind, rule in RECORD_KINDS.items() if rule.until_over} == {
        "periodic_inspector_evidence",
        "brake_inspector_evidence",
        "food_procedures",
        "food_agreement",
        "food_training",
        "refrigerant_card",
        "unit_file",
    }


def test_superseded_document__kept_a_year_by_our_own_default() -> None:
    end = retained_until("superseded_document", DAY)
    assert (end.until, end.rule.basis) == (date(2027, 3, 5), "own")


def test_unknown_kind__refused() -> None:
    with pytest.raises(KeyError):
        retained_until("napkin", DAY)


def test_unit_that_left__moves_only_maintenance() -> None:
    left = date(2030, 1, 1)
    moved = {
        kind for kind in RECORD_KINDS if retained_until(kind, DAY, left_control_on=left) != retained_until(kind, DAY)
    }
    assert moved == {"maintenance"}


def test_every_rule__says_its_source_and_basis() -> None:
    for rule in RECORD_KINDS.values():
        assert rule.months > 0
        assert rule.source
        assert rule.basis in {"read", "memory", "own"}
