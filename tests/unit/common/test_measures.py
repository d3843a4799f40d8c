"""A measured value as people write it: common practice, no source."""

from decimal import Decimal

import pytest

from common.measures import measured


@pytest.mark.parametrize(
    ("value", "unit_of_measure", "said"),
    [
        ("2.3100", "in", "2.31 in"),
        ("5.000", "32nds", "5/32 in"),
        ("80", "percent", "80 %"),
        ("3.0", "psi_per_min", "3 psi/min"),
        ("-10", "degF", "-10 °F"),
        ("200", "count", "200"),
        ("1.5", "", "1.5"),
    ],
)
def test_value__with_its_sign_and_without_zeros_of_storing(value: str, unit_of_measure: str, said: str) -> None:
    assert measured(Decimal(value), unit_of_measure) == said
