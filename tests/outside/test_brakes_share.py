"""The 20 per cent practice against public examples and figures. The licensed handbook behind it was not read."""

from decimal import Decimal

import pytest

from defects.rules.clearance.brakes import BrakeFault, defective_brakes, reaches_share


def _faults(count: int, over: str | None = None) -> list[BrakeFault]:
    return [BrakeFault("unit", f"place {n}", None if over is None else Decimal(over)) for n in range(count)]


@pytest.mark.parametrize(("defective", "out_of_service"), [(0, False), (1, False), (2, True), (3, True)])
def test_ten_brakes__two_defective_are_the_published_threshold(defective: int, out_of_service: bool) -> None:
    """Engineering blog and trade magazine: three-axle tractor and two-axle trailer, ten brakes; two are too many."""
    assert reaches_share(defective_brakes(_faults(defective)), 10) is out_of_service


@pytest.mark.parametrize(
    ("brakes", "fewest"),
    [(2, 1), (4, 1), (6, 2), (8, 2), (10, 2), (12, 3), (14, 3), (16, 4), (18, 4), (20, 4), (22, 5)],
)
def test_brakes_from_two_to_twenty_two__just_under_and_at_the_threshold(brakes: int, fewest: int) -> None:
    """ "Equal to or greater than 20 percent" (published campaign results): the smallest whole number, derived."""
    assert reaches_share(fewest, brakes) is True
    assert reaches_share(fewest - 1, brakes) is False


def test_no_brake_defective__never_a_share() -> None:
    assert reaches_share(0, 10) is False
    assert reaches_share(0, 0) is False


@pytest.mark.parametrize(
    ("over", "count", "counted"),
    [
        # A truck maker's manual quoting the practice: any brake 1/4 in or more past its limit counts, or any two less
        # than 1/4 in. The odd one left over is from memory of practice.
        (["0.25"], 1, 1),
        (["0.24"], 1, 0),
        (["0.24", "0.01"], 2, 1),
        (["0.24", "0.01", "0.12"], 3, 1),
        (["0.12", "0.12", "0.12", "0.12"], 4, 2),
        (["0.25", "0.24"], 2, 1),
        (["0.5", "0.2", "0.2"], 3, 2),
    ],
)
def test_brakes_past_their_limit__counted_as_the_public_practice_does(
    over: list[str], count: int, counted: int
) -> None:
    faults = [BrakeFault("unit", f"place {n}", Decimal(value)) for n, value in enumerate(over)]
    assert len(faults) == count
    assert defective_brakes(faults, half_counts=True) == counted
    assert defective_brakes(faults) == count
