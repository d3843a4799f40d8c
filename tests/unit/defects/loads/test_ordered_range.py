"""The range that a load was ordered in."""

from decimal import Decimal

from defects.rules.loads import ordered_range


def test_range__is_the_ordered_one_or_five_degrees_about_the_setpoint() -> None:
    assert ordered_range(Decimal(34), None, None) == (Decimal(29), Decimal(39))
    assert ordered_range(Decimal(34), None, Decimal(36)) == (None, Decimal(36))
