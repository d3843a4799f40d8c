"""The order of severities, and which severity goes with what it bars."""

from itertools import product

import pytest

from defects.enums import Bars, Severity, bars_rank, default_bars, go_together, is_worse, rank, worst

ORDER = ["watch", "next_shop_visit", "before_next_use", "do_not_move"]


def test_rank__mildest_first_whatever_the_order_of_the_enums_lines() -> None:
    assert [rank(word) for word in ORDER] == [0, 1, 2, 3]
    assert [bars_rank(word) for word in ("nothing", "cold_freight", "food", "movement")] == [0, 1, 2, 3]
    assert [rank(severity) for severity in Severity] == [3, 2, 1, 0]
    assert [bars_rank(bars) for bars in Bars] == [3, 2, 1, 0]


@pytest.mark.parametrize(("one", "other"), list(product(ORDER, ORDER)))
def test_worst_of_two__the_later_in_the_order(one: str, other: str) -> None:
    assert worst([one, other]) == ORDER[max(ORDER.index(one), ORDER.index(other))]
    assert is_worse(one, other) is (ORDER.index(one) > ORDER.index(other))


def test_worst_of_none__none() -> None:
    assert worst([]) is None


def test_unknown_word__refused() -> None:
    with pytest.raises(ValueError, match="minor"):
        rank("minor")


@pytest.mark.parametrize(("severity", "bars"), list(product(Severity, Bars)))
def test_pair__movement_with_the_two_that_stop_and_freight_with_one(severity: Severity, bars: Bars) -> None:
    allowed = {
        ("watch", "nothing"),
        ("next_shop_visit", "nothing"),
        ("next_shop_visit", "cold_freight"),
        ("next_shop_visit", "food"),
        ("before_next_use", "movement"),
        ("do_not_move", "movement"),
    }
    assert go_together(severity, bars) is ((severity, bars) in allowed)
    assert go_together(severity, default_bars(severity))
