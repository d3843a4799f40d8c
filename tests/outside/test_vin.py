"""The check digit of 49 CFR 565.15(c) against the regulation's own sample and published numbers, typed here."""

import re
from pathlib import Path

import pytest
from vininfo import Vin

from fleet.rules.units.description import vin_problems

OUR_OWN = [Path("fixtures/demo/ninefold.toml"), Path("fleet/api/imports/forms.py")]

SAMPLES = [
    # The regulation's Table VI: products add up to 411 = 37 x 11 + 4.
    ("1G4AH59H45G118341", "4"),
    # A widely published hypothetical number: sum 351, remainder 10, written X.
    ("1M8GDM9AXKP042788", "X"),
    # The classic test of seventeen ones, from memory: sum 89, remainder 1.
    ("11111111111111111", "1"),
]


@pytest.mark.parametrize(("vin", "digit"), SAMPLES)
def test_published_number__no_problem(vin: str, digit: str) -> None:
    assert vin[8] == digit
    assert vin_problems(vin) == ()


@pytest.mark.parametrize(("vin", "digit"), SAMPLES)
def test_any_other_check_digit__refused(vin: str, digit: str) -> None:
    for wrong in set("0123456789X") - {digit}:
        assert [problem.code for problem in vin_problems(vin[:8] + wrong + vin[9:])] == ["check_digit"], wrong


@pytest.mark.parametrize("letter", ["U", "Z", "0"])
def test_letter_without_a_model_year__refused(letter: str) -> None:
    """Table VII holds none of these three."""
    assert "model_year" in {problem.code for problem in vin_problems(f"1M8GDM9AX{letter}P042788")}


@pytest.mark.parametrize("file", OUR_OWN, ids=str)
def test_invented_number__sound_and_of_a_country_code_that_nobody_has(file: Path) -> None:
    """The countries are those of the library's table of ISO 3780; none of its makers has such a number either."""
    invented = re.findall(r"""\bvin"?\W+([A-Z0-9]{17})\b""", file.read_text())
    assert invented
    assert {vin: vin_problems(vin) for vin in invented} == dict.fromkeys(invented, ())
    assert {Vin(vin).country for vin in invented} == {None}
