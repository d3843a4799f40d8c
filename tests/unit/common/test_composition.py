"""What apps contribute is found by its type, and nothing is contributed twice."""

from dataclasses import dataclass

import pytest
from pytest_django import Settings

from common.composition import Contribution, contributed, indexed


@dataclass(frozen=True)
class Color:
    name: str


@dataclass(frozen=True)
class Shape:
    name: str


ROUND, RED, BLUE = Shape("round"), Color("red"), Color("blue")
ASSEMBLED = (Contribution("lower", (RED, ROUND)), Contribution("upper", (BLUE,)))


def test_parts__found_by_their_type_in_the_order_of_the_apps(settings: Settings) -> None:
    settings.COMPOSITION = f"{__name__}.ASSEMBLED"

    assert contributed(Color) == (RED, BLUE)
    assert contributed(Shape) == (ROUND,)
    assert contributed(str) == ()


def test_key_contributed_twice__refused() -> None:
    assert indexed([("red", 1), ("blue", 2)]) == {"red": 1, "blue": 2}
    with pytest.raises(ValueError, match="'red' is contributed twice"):
        indexed([("red", 1), ("red", 1)])
