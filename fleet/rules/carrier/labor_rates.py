"""What the carrier reckons an hour of work in its shop at, as its policy says. Nobody's pay is known here."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

CURRENCY = re.compile(r"[A-Z]{3}")
"""ISO 4217, by its form alone."""
AMOUNT = re.compile(r"[0-9]{1,6}(\.[0-9]{1,2})?")
ROLES = ("lead", "helper")


@dataclass(frozen=True, slots=True)
class LaborRates:
    """Money for an hour, by the part that a person has in a task; in one currency, empty while nothing is decided."""

    currency: str = ""
    by_role: Mapping[str, Decimal] | None = None

    def of(self, role: str) -> Decimal | None:
        """The rate of a part; None where there is none."""
        return None if self.by_role is None else self.by_role.get(role)


def rates_from(value: object) -> LaborRates:
    """The rates that a policy's value states, as `{"currency": "USD", "lead": "95.00", "helper": "60.00"}`.

    Either part may be left out, and all of it. ValueError or TypeError for anything else.
    """
    if not isinstance(value, Mapping):
        raise TypeError("the value must name its currency and rates")
    if not value:
        return LaborRates()
    if unknown := sorted(str(name) for name in value if name not in {"currency", *ROLES}):
        raise ValueError(f"unknown: {', '.join(unknown)}")
    currency = value.get("currency")
    if not isinstance(currency, str) or not CURRENCY.fullmatch(currency):
        raise ValueError("a currency has three capital letters")
    rates = {role: _amount(value[role]) for role in ROLES if role in value}
    if not rates:
        raise ValueError("a currency without a rate says nothing")
    return LaborRates(currency, rates)


def _amount(given: object) -> Decimal:
    if not isinstance(given, str) or not AMOUNT.fullmatch(given):
        raise ValueError(f"no amount of money: {given!r}")
    return Decimal(given)
