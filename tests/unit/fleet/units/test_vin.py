"""What is said of a serial number that is not one."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.rules.units.description import VinProblem, vin_problems

ALPHABET = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"


def _codes(vin: str) -> list[str]:
    return [problem.code for problem in vin_problems(vin)]


@pytest.mark.parametrize(
    ("vin", "codes"),
    [
        ("", ["length"]),
        ("BZTTKAA345A01600", ["length"]),
        ("BZTTKAA345A0160011", ["length"]),
        ("IZTTKAA345A016001", ["characters"]),
        ("bzttkaa345a016001", ["characters"]),
        ("BZTTKAA345A01600 ", ["characters"]),
        ("BZTTKAA345A01600\n", ["characters"]),
        (" BZTTKAA345A016001", ["length", "characters"]),
        ("BZTTKAA345A01600\u2160", ["characters"]),
        ("OIQ", ["length", "characters"]),
    ],
)
def test_outer_fault__named_and_nothing_else_looked_at(vin: str, codes: list[str]) -> None:
    assert _codes(vin) == codes


def test_letter_among_the_last_four__sequence_refused() -> None:
    for position in range(13, 17):
        assert "sequence" in _codes("BZTTKAA345A016001"[:position] + "A" + "BZTTKAA345A016001"[position + 1 :])
    assert "sequence" not in _codes("BZTTKAA345A0A6001")
    assert "sequence" not in _codes("BZTTKAA345A016001")


def test_problem__says_its_section() -> None:
    assert vin_problems("BZTTKAA355A016001") == (VinProblem("check_digit", "565.15(c)"),)


@given(st.text(ALPHABET, min_size=17, max_size=17))
def test_any_number_of_right_shape__one_check_digit_fits_or_none_is_used(vin: str) -> None:
    fitting = [d for d in "0123456789X" if "check_digit" not in _codes(vin[:8] + d + vin[9:])]
    assert len(fitting) <= 1
    if not vin.startswith("6F"):
        assert len(fitting) == 1


@given(st.text(string.printable, max_size=20))
def test_any_text__answered_without_failing(vin: str) -> None:
    assert set(_codes(vin)) <= {"length", "characters", "model_year", "sequence", "check_digit"}
