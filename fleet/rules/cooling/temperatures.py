"""Temperatures as they are kept: in °F with two decimals, which holds any tenth of a °C exactly, there and back."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from fleet.enums import TemperatureScale
from fleet.rules.cooling.readings import Figures

TEMPERATURES = ("setpoint", "return_air", "supply_air", "box", "product", "ambient")
"""The temperatures of a reading by the names that a sender uses; in °F each ends in `_f`."""

HUNDREDTH = Decimal("0.01")


def from_celsius(degrees: Decimal) -> Decimal:
    """°F of a temperature in °C: °C · 9/5 + 32, exact for a temperature with at most one decimal."""
    return degrees * 9 / 5 + 32


def to_celsius(degrees: Decimal) -> Decimal:
    """°C of a temperature in °F, to the hundredth: exact where it came from tenths of a °C."""
    exact = (Fraction(degrees) - 32) * 5 / 9
    return (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(HUNDREDTH)


def figures_in(scale: TemperatureScale, numbers: Mapping[str, Decimal | None], **said: Any) -> Figures:
    """Return figures given by a sender's names, temperatures in a scale, with what else is `said` of the reading."""
    figures: dict[str, Any] = {}
    for name, value in numbers.items():
        if name not in TEMPERATURES:
            figures[name] = value
        elif value is None or scale is TemperatureScale.FAHRENHEIT:
            figures[f"{name}_f"] = value
        else:
            figures[f"{name}_f"] = from_celsius(value)
    return Figures(given_in=scale, at=said.pop("read_at"), **figures, **said)
