"""The words of the pure rules are the words that are stored."""

from enum import StrEnum

import pytest
from django.db.models import TextChoices

from defects import enums
from defects.enums import ClearanceAnswer, HoldKind, TemperatureClass
from defects.rules.clearance import CODES, Code


@pytest.mark.parametrize(
    ("pure", "stored"),
    [
        (ClearanceAnswer, enums.ClearanceAnswer),
        (TemperatureClass, enums.TemperatureClass),
        (HoldKind, enums.HoldKind),
    ],
)
def test_words_of_the_rules__same_as_stored(pure: type[StrEnum], stored: type[TextChoices]) -> None:
    assert [word.value for word in pure] == stored.values


def test_every_code__has_a_meaning_with_its_source() -> None:
    assert set(CODES) == set(Code)
    for meaning in CODES.values():
        assert meaning.text
        assert meaning.source
        assert meaning.basis in {"read", "memory", "own"}
