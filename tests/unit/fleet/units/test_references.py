"""Naming a unit: by key, by our own number, by number and owner."""

import re
from uuid import UUID

import pytest

from fleet.rules.units.references import NUMBER_PATTERN, REFERENCE_PATTERN, UnitReference, parse_reference, reference_of

KEY = "019a0000-0000-7000-8000-0000000000ab"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("NL-11", UnitReference(number="NL-11")),
        ("nl-11", UnitReference(number="NL-11")),
        (" nl-11 ", UnitReference(number="NL-11")),
        ("QX-9003@Gravelspoon Foods", UnitReference(number="QX-9003", owner="GRAVELSPOON FOODS")),
        ("QX-9003@ Gravelspoon ", UnitReference(number="QX-9003", owner="GRAVELSPOON")),
        (KEY, UnitReference(key=UUID(KEY))),
        (KEY.upper(), UnitReference(key=UUID(KEY))),
        (KEY.replace("-", ""), UnitReference(number=KEY.replace("-", "").upper())),
        ("7", UnitReference(number="7")),
    ],
)
def test_text_that_names_a_unit__is_read(text: str, expected: UnitReference) -> None:
    assert parse_reference(text) == expected


@pytest.mark.parametrize("text", ["", " ", "-11", "NL 11", "NL/11", "NL-11@", "NL-11@a@b", "NL-11@a/b", "É1", "N" * 33])
def test_text_that_could_name_none__is_refused(text: str) -> None:
    assert parse_reference(text) is None


def test_number_of_32_characters__is_the_longest() -> None:
    assert parse_reference("N" * 32) == UnitReference(number="N" * 32)


def test_key_as_usually_written__is_no_number() -> None:
    assert re.fullmatch(NUMBER_PATTERN, KEY) is None


@pytest.mark.parametrize("text", ["NL-11", "QX-9003@Gravelspoon Foods", KEY])
def test_address_pattern__takes_what_is_read(text: str) -> None:
    assert re.fullmatch(REFERENCE_PATTERN, text)


def test_unit_of_others__is_found_by_what_it_is_called() -> None:
    assert reference_of("qx-9003", "Gravelspoon Foods") == parse_reference("QX-9003@gravelspoon foods")
