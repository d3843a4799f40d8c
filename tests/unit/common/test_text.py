"""Texts are kept in one spelling, and characters that break storage or display are refused."""

import pytest

from common.errors import FieldProblem, Invalid
from common.text import clean_text


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
    assert clean_text(given, max_length=20) == kept


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ("a\0b", "text_nul"),
        ("a\ud800b", "text_surrogate"),
        ("\udfff", "text_surrogate"),
        ("a\x07b", "text_control"),
        ("a\x1bb", "text_control"),
        ("a\x7fb", "text_control"),
        ("a\x9fb", "text_control"),
        ("a\rb", "text_control"),
    ],
)
def test_bad_character__refused_by_its_rule_at_the_pointer(given: str, code: str) -> None:
    with pytest.raises(Invalid) as caught:
        clean_text(given, max_length=20, pointer="/note")
    assert (caught.value.code, caught.value.problems) == (code, (FieldProblem("/note", code),))


@pytest.mark.parametrize("given", ["a\nb", "a\tb", "a\r\nb"])
def test_line_ends_and_tabs_in_a_single_line__refused(given: str) -> None:
    with pytest.raises(Invalid) as caught:
        clean_text(given, max_length=20, multiline=False)
    assert caught.value.code == "text_control"


def test_length__counted_after_normalising() -> None:
    assert clean_text("n\u0303" * 5, max_length=5) == "\u00f1" * 5
    with pytest.raises(Invalid) as caught:
        clean_text("n\u0303" * 6, max_length=5)
    assert (caught.value.code, caught.value.facts) == ("text_too_long", {"max_length": 5, "length": 6})
