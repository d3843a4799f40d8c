"""What a phone handed in, before anything is judged: reading numbers, and one report for each unit."""

from decimal import Decimal

import pytest

from defects.rules.walkarounds.body import one_for_each_unit, read_number
from tests.support.submissions import fault_told, given_check, meter_shown, report_on


@pytest.mark.parametrize(
    ("text", "number"),
    [("2.31", "2.31"), ("0", "0"), ("-4", "-4"), ("+4", "4"), (".5", "0.5"), ("5.", "5"), ("007", "7")],
)
def test_plain_decimal__read_exactly(text: str, number: str) -> None:
    assert read_number(text) == Decimal(number)


WORDS_AND_SIGNS = ["", " ", ".", "-", "2,31", "2 1/4", "two", "NaN", "sNaN", "Infinity", "-inf", "5\n", "--5", "5-"]
WHAT_PROGRAMS_READ = ["1e3", "1E+400", "1_000", "0x10", "\u0661", "\uff12", "\u00b2"]


@pytest.mark.parametrize("text", [*WORDS_AND_SIGNS, *WHAT_PROGRAMS_READ])
def test_anything_else__no_number(text: str) -> None:
    assert read_number(text) is None
    assert given_check("tires.trailer.tread-depth", value=text).number is None


@pytest.mark.parametrize(
    ("text", "number"), [("2.00004", "2.0000"), ("2.00005", "2.0001"), ("2.00006", "2.0001"), ("-0.00001", "0.0000")]
)
def test_value_finer_than_what_is_stored__judged_as_it_is_stored(text: str, number: str) -> None:
    """50.801 mm in inches is 2.00004: no gauge reads that, and no defect may say 2 at a limit of 2."""
    assert given_check("brakes.service.pushrod-stroke", value=text).number == Decimal(number)


FIRST = report_on("LR-45", (given_check("a"),), (fault_told("rattles"),), (meter_shown("odometer_mi", "1"),))
AGAIN = report_on("lr-45", (given_check("b"), given_check("c")), (fault_told("smells"),), ())
OTHER = report_on("NL-15", (given_check("d"),))


def test_each_unit_once__as_given() -> None:
    assert one_for_each_unit([FIRST, OTHER], {"LR-45": 1, "NL-15": 2}) == [(FIRST, False), (OTHER, False)]


def test_unit_named_twice__joined_into_the_first_and_nothing_lost() -> None:
    (both, doubled), (other, alone) = one_for_each_unit([FIRST, OTHER, AGAIN], {"LR-45": 1, "lr-45": 1, "NL-15": 2})

    assert (doubled, alone, other) == (True, False, OTHER)
    assert both.unit == "LR-45"
    assert [check.point for check in both.checks] == ["a", "b", "c"]
    assert [fault.text for fault in both.faults] == ["rattles", "smells"]
    assert both.meters == FIRST.meters


def test_unknown_units__stay_apart_even_under_one_name() -> None:
    unknown = report_on("ZZ-9")
    assert one_for_each_unit([unknown, FIRST, unknown], {"LR-45": 1}) == [
        (unknown, False),
        (FIRST, False),
        (unknown, False),
    ]
