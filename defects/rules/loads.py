"""The range that a load was ordered in, and a product that was loaded outside it."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from defects.enums import TemperatureClass

DRIFT_F = Decimal(5)
"""Common practice, no published source: 3 to 5 °F off the setpoint call for a call; where no range is ordered."""

Bound = Decimal | None


def ordered_range(setpoint_f: Bound, lowest_f: Bound, highest_f: Bound) -> tuple[Bound, Bound]:
    """The lowest and the highest temperature ordered, or 5 °F about the setpoint where no range is."""
    if setpoint_f is None or lowest_f is not None or highest_f is not None:
        return lowest_f, highest_f
    return setpoint_f - DRIFT_F, setpoint_f + DRIFT_F


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductOutside:
    """A product loaded too warm, or else too cold, with the temperature that was ordered at most or at least (°F)."""

    too_warm: bool
    product_f: Decimal
    limit_f: Decimal


class Ordered(Protocol):
    """A load: what it needs of the box, what was ordered, and its product as it was loaded."""

    temperature_class: str
    setpoint_f: Bound
    lowest_f: Bound
    highest_f: Bound
    product_f: Bound


def product_of(load: Ordered) -> ProductOutside | None:
    """How the product of a load was loaded outside its range, if it was."""
    ordered = ordered_range(load.setpoint_f, load.lowest_f, load.highest_f)
    return product_outside(load.temperature_class, load.product_f, *ordered)


def product_outside(
    temperature_class: str, product_f: Bound, lowest_f: Bound, highest_f: Bound
) -> ProductOutside | None:
    """How a product was loaded outside its range; None within it, unmeasured, or dry. Frozen is never too cold."""
    if product_f is None or temperature_class == TemperatureClass.DRY:
        return None
    if highest_f is not None and product_f > highest_f:
        return ProductOutside(too_warm=True, product_f=product_f, limit_f=highest_f)
    if lowest_f is not None and product_f < lowest_f and temperature_class != TemperatureClass.FROZEN:
        return ProductOutside(too_warm=False, product_f=product_f, limit_f=lowest_f)
    return None
