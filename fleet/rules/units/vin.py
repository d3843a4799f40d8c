"""The vehicle identification number of 49 CFR Part 565: its faults. Looks up no vehicle."""

import re
from dataclasses import dataclass

from vininfo import Vin

LENGTH = 17
_CHARACTERS = re.compile(r"[A-HJ-NPR-Z0-9]*")
_MODEL_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"


@dataclass(frozen=True, slots=True)
class VinProblem:
    """A fault: `length`, `characters`, `model_year`, `sequence` or `check_digit`; `section` is of 49 CFR."""

    code: str
    section: str


def vin_problems(vin: str) -> tuple[VinProblem, ...]:
    """What is wrong with a number as it was given, none for a sound one. Small letters are a fault like any other.

    The length and the characters are looked at first; only a number that passes both is looked into further.
    `sequence` is the rule for heavy trucks and trailers: the last four characters are digits.
    """
    outer = []
    if len(vin) != LENGTH:
        outer.append(VinProblem("length", "565.13(b)"))
    if not _CHARACTERS.fullmatch(vin):
        outer.append(VinProblem("characters", "565.13(g)"))
    if outer:
        return tuple(outer)
    inner = []
    if vin[9] not in _MODEL_YEAR_CODES:
        inner.append(VinProblem("model_year", "565.15(d)"))
    if not (vin[13:].isascii() and vin[13:].isdigit()):
        inner.append(VinProblem("sequence", "565.15(d)"))
    if not _check_digit_is_right(vin):
        inner.append(VinProblem("check_digit", "565.15(c)"))
    return tuple(inner)


def _check_digit_is_right(vin: str) -> bool:
    # The library answers "no" for makers that it knows to use no check digit. Those sell no vehicle under Part 565,
    # and a neutral maker's code cannot be put in their place: it is part of the sum.
    return Vin(vin).verify_checksum(check_year=False)
