"""What a driver reads of an answer that must be looked at: what was asked, in words."""

import pytest

from defects.selectors.defects.naming import flag_sentence


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "The value is in mm. Measure again in 32nds of an inch."),
        ("es", "El valor está en mm. Mida de nuevo en treintaidosavos de pulgada."),
    ],
)
def test_wrong_unit_of_measure__the_one_asked_for_in_words(language: str, said: str) -> None:
    assert flag_sentence("unit_wrong", {"given": "mm", "expected": "32nds"}, language) == said


def test_no_place__asked_for() -> None:
    assert flag_sentence("place_missing", {}, "en") == "Name the place."
