"""Texts are kept in one spelling, and characters that break storage or display are found."""

import pytest

from common.text import control_fault, normal_text, storage_fault


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("plain", "plain"),
        ("man\u0303ana", "ma\u00f1ana"),
        ("one\r\ntwo\tthree", "one\ntwo\tthree"),
        ("🚛 ok", "🚛 ok"),
        ("", ""),
    ],
)
def test_good_text__normalised(given: str, kept: str) -> None:
    assert (storage_fault(given), control_fault(given), normal_text(given)) == (None, None, kept)


@pytest.mark.parametrize("given", ["a\0b", "a\ud800b", "\udfff"])
def test_character_that_cannot_be_stored__found(given: str) -> None:
    assert storage_fault(given) == ("text_nul" if "\0" in given else "text_surrogate")


@pytest.mark.parametrize("given", ["a\x07b", "a\x1bb", "a\x7fb", "a\x9fb", "a\rb"])
def test_control_character__found(given: str) -> None:
    assert control_fault(given) == "text_control"


@pytest.mark.parametrize("given", ["a\nb", "a\tb", "a\r\nb"])
def test_line_ends_and_tabs__found_in_a_single_line_alone(given: str) -> None:
    assert (control_fault(given), control_fault(given, multiline=False)) == (None, "text_control")
