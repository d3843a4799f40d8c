"""Equal values have one spelling, and what has none is refused."""

import uuid
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import Enum
from hashlib import sha256
from types import MappingProxyType

import pytest

from common.canonical import canonical_json, plain, sha256_hex


class Word(str, Enum):  # noqa: UP042 - a class whose str() is not its value
    ONE = "one"


def test_keys__sorted_without_white_space_in_utf_8() -> None:
    assert canonical_json({"b": [1, True, None], "a": {"ñ": "é"}}) == '{"a":{"ñ":"é"},"b":[1,true,null]}'.encode()


def test_order_of_members__does_not_matter() -> None:
    assert canonical_json({"a": 1, "b": 2}) == canonical_json({"b": 2, "a": 1})


def test_order_of_a_list__matters() -> None:
    assert canonical_json([1, 2]) != canonical_json([2, 1])


def test_set__sorted() -> None:
    assert canonical_json(frozenset({"b", "a"})) == b'["a","b"]'


@pytest.mark.parametrize(
    ("value", "spelling"),
    [
        (Decimal("1.50"), b'"1.50"'),
        (Decimal(-3), b'"-3"'),
        (date(2026, 11, 25), b'"2026-11-25"'),
        (datetime(2026, 11, 25, 6, 10, tzinfo=UTC), b'"2026-11-25T06:10:00+00:00"'),
        (datetime(2026, 11, 25, 6, 10, tzinfo=timezone(timedelta(hours=-6))), b'"2026-11-25T06:10:00-06:00"'),
        (uuid.UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F"), b'"017f22e2-79b0-7cc3-98c4-dc0c0c07398f"'),
        (Word.ONE, b'"one"'),
        (MappingProxyType({"a": (1,)}), b'{"a":[1]}'),
    ],
)
def test_types_beyond_json__their_one_text(value: object, spelling: bytes) -> None:
    assert canonical_json(value) == spelling


@pytest.mark.parametrize("value", [1.5, float("nan"), {"a": [float("inf")]}, b"bytes", object()])
def test_what_has_no_one_spelling__type_error(value: object) -> None:
    with pytest.raises(TypeError):
        canonical_json(value)


@pytest.mark.parametrize(
    "value",
    [Decimal("NaN"), Decimal("-Infinity"), datetime(2026, 11, 25)],  # noqa: DTZ001 - naive on purpose
)
def test_a_value_that_is_none__value_error(value: object) -> None:
    with pytest.raises(ValueError, match=r"spelling|offset"):
        canonical_json(value)


def test_key_that_is_no_text__type_error() -> None:
    with pytest.raises(TypeError):
        plain({1: "a"})


def test_sha256_of_text_and_bytes__the_same_as_the_standard_library() -> None:
    expected = sha256("ñ".encode()).hexdigest()
    assert (sha256_hex("ñ"), sha256_hex("ñ".encode())) == (expected, expected)
