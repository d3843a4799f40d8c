"""The vehicle identification number of 49 CFR Part 565: its faults, maker and model years. Looks up no vehicle."""

import re
from dataclasses import dataclass

from vininfo import Vin

LENGTH = 17
_CHARACTERS = re.compile(r"[A-HJ-NPR-Z0-9]*")
_MODEL_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_FIRST_MODEL_YEAR = 1980
_CYCLE_YEARS = len(_MODEL_YEAR_CODES)


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


def maker_identifier(vin: str) -> str:
    """The maker's code of a sound number: the first three characters; 12 to 14 too for a small maker (9 third)."""
    return vin[:3] + (vin[11:14] if vin[2] == "9" else "")


def model_years(vin: str, *, latest: int) -> tuple[int, ...]:
    """The model years that a sound number can mean, newest first, none after `latest`.

    Position 10 repeats every 30 years, and the rule that tells two cycles apart (position 7) is for light vehicles
    only, so that for tractors and trailers all of them stay open. Years before 2005 are from memory of the table.
    """
    year = _FIRST_MODEL_YEAR + _MODEL_YEAR_CODES.index(vin[9])
    return tuple(reversed(range(year, latest + 1, _CYCLE_YEARS)))


def _check_digit_is_right(vin: str) -> bool:
    # The library answers "no" for makers that it knows to use no check digit. Those sell no vehicle under Part 565,
    # and a neutral maker's code cannot be put in their place: it is part of the sum.
    return Vin(vin).verify_checksum(check_year=False)
