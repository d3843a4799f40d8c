"""The range that a load was ordered in, and a product loaded outside it."""

from decimal import Decimal

import pytest

from defects.enums import TemperatureClass
from defects.rules.loads import ordered_range, product_outside


def test_range__is_the_ordered_one_or_five_degrees_about_the_setpoint() -> None:
    assert ordered_range(Decimal(34), None, None) == (Decimal(29), Decimal(39))
    assert ordered_range(Decimal(34), None, Decimal(36)) == (None, Decimal(36))


FROZEN, CHILLED, KEPT_FROM_FROST = (
    TemperatureClass.FROZEN,
    TemperatureClass.CHILLED,
    TemperatureClass.PROTECT_FROM_FREEZING,
)


@pytest.mark.parametrize(
    ("needs", "ordered", "product", "found"),
    [
        (FROZEN, (None, "5"), "5", None),
        (FROZEN, (None, "5"), "5.1", (True, "5")),
        (FROZEN, (None, "5"), "20", (True, "5")),
        (FROZEN, ("-10", None), "-30", None),
        (CHILLED, ("33", None), "32.9", (False, "33")),
        (CHILLED, ("33", None), "33", None),
        (KEPT_FROM_FROST, ("40", "50"), "39.9", (False, "40")),
        (TemperatureClass.DRY, (None, "5"), "20", None),
        (FROZEN, (None, "5"), None, None),
    ],
)
def test_product_outside_its_range__says_which_way_and_by_which_limit(
    needs: TemperatureClass, ordered: tuple[str | None, str | None], product: str | None, found: tuple[bool, str] | None
) -> None:
    lowest, highest = (None if each is None else Decimal(each) for each in ordered)
    measured = None if product is None else Decimal(product)
    outside = product_outside(needs, measured, lowest, highest)
    assert (outside is None) is (found is None)
    if outside is not None and found is not None:
        assert (outside.too_warm, outside.product_f, outside.limit_f) == (found[0], measured, Decimal(found[1]))
