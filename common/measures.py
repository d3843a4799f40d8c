"""A measured value as a person writes it. Knows units of measure by their names alone, and converts nothing."""

from decimal import Decimal

_SIGNS = {"32nds": "/32 in", "percent": " %", "psi_per_min": " psi/min", "degF": " °F", "count": "", "": ""}


def measured(value: Decimal, unit_of_measure: str) -> str:
    """A value with its sign, as 2.31 in, 5/32 in, 3 psi/min, 80 %; the unit's own name where it has no other sign."""
    return number(value) + _SIGNS.get(unit_of_measure, f" {unit_of_measure}")


def number(value: Decimal) -> str:
    """A decimal without the zeros that storing it added."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
