"""Every code of an answer to dispatch says what it means."""

from defects.rules.clearance.codes import Code
from defects.rules.clearance.meanings import CODES


def test_every_code__has_a_meaning_with_its_source() -> None:
    assert set(CODES) == set(Code)
    for meaning in CODES.values():
        assert meaning.text
        assert meaning.source
        assert meaning.basis in {"read", "memory", "own"}
