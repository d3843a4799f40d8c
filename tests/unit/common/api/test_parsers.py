"""A body that two readers could understand differently is refused, with its place; numbers stay exact."""

import io
from decimal import Decimal

import pytest
from pytest_django import Settings

from common.api.parsers import StrictJSONParser, read_object
from common.errors import TooLarge, Unreadable


def refusal(content: bytes) -> tuple[str, list[str]]:
    with pytest.raises(Unreadable) as caught:
        read_object(content)
    return caught.value.code, [problem.pointer for problem in caught.value.problems]


def test_ordinary_object__its_values_with_exact_numbers() -> None:
    content = '{"a": 1, "b": 1.10, "c": "ñ", "d": [true, false, null, {"e": -2e3}], "f": {}}'.encode()
    found = read_object(content)
    assert found == {"a": 1, "b": Decimal("1.10"), "c": "ñ", "d": [True, False, None, {"e": Decimal("-2e3")}], "f": {}}
    assert (type(found["a"]), str(found["b"])) == (int, "1.10")


def test_surrogate_pair__one_character() -> None:
    assert read_object(rb'{"a": "\ud83d\ude9b"}') == {"a": "🚛"}


@pytest.mark.parametrize(
    ("content", "code", "pointers"),
    [
        (b'{"a": "\xff"}', "body_not_utf8", []),
        ('{"a": 1}'.encode("utf-16"), "body_not_utf8", []),
        (b"", "json_malformed", []),
        (b'{"a": 1', "json_malformed", []),
        (b'{"a": 1} {}', "json_malformed", []),
        (b'{"a": 01}', "json_malformed", []),
        (b"{'a': 1}", "json_malformed", []),
        (b'\xef\xbb\xbf{"a": 1}', "json_malformed", []),
        (b'{"a": "\x01"}', "json_malformed", []),
        (b"[1]", "json_not_an_object", [""]),
        (b"1", "json_not_an_object", [""]),
        (b"null", "json_not_an_object", [""]),
        (b"NaN", "json_not_an_object", [""]),
        (b'{"a": 1, "a": 1}', "json_duplicate_key", ["/a"]),
        (b'{"x": [{"b/c": {"~": 1, "~": 2}}]}', "json_duplicate_key", ["/x/0/b~1c/~0"]),
        (b'{"a": NaN}', "json_number_unusable", ["/a"]),
        (b'{"a": [1, Infinity]}', "json_number_unusable", ["/a/1"]),
        (b'{"a": -Infinity}', "json_number_unusable", ["/a"]),
        (b'{"a": ' + b"1" * 41 + b"}", "json_number_unusable", ["/a"]),
        (b'{"a": ' + b"1" * 5000 + b"}", "json_number_unusable", ["/a"]),
        (b'{"a": 0.' + b"1" * 40 + b"}", "json_number_unusable", ["/a"]),
        (b'{"a": 0e99}', "json_number_unusable", ["/a"]),
        (b'{"a": 1e41}', "json_number_unusable", ["/a"]),
        (b'{"a": 1e-41}', "json_number_unusable", ["/a"]),
        (b'{"a": 1e999999999999999999999}', "json_number_unusable", ["/a"]),
        (rb'{"a": "x\u0000"}', "text_nul", ["/a"]),
        (rb'{"a": ["x", "\ud800"]}', "text_surrogate", ["/a/1"]),
        (rb'{"o": {"k\udc00": 1}}', "text_surrogate", ["/o"]),
        (rb'{"o": {"k\u0000": 1}}', "text_nul", ["/o"]),
    ],
)
def test_what_could_be_read_two_ways__refused_at_its_place(content: bytes, code: str, pointers: list[str]) -> None:
    assert refusal(content) == (code, pointers)


@pytest.mark.parametrize("literal", [b"1" * 40, b"1e40", b"1e-40", b"0", b"-0.0"])
def test_number_at_the_limit__read(literal: bytes) -> None:
    assert read_object(b'{"a": ' + literal + b"}") == {"a": Decimal(literal.decode())}


def test_nesting__up_to_32_levels() -> None:
    def nested(depth: int) -> bytes:
        return b'{"a":' * depth + b"1" + b"}" * depth

    assert refusal(nested(33)) == ("json_too_deep", ["/a" * 32])
    read_object(nested(32))
    read_object(b'{"a":' + b"[" * 31 + b"]" * 31 + b"}")
    assert refusal(b'{"a":' + b"[" * 32 + b"]" * 32 + b"}") == ("json_too_deep", ["/a" + "/0" * 31])


@pytest.mark.parametrize("opening", [b"[", b'{"a":', b'{"a":['])
def test_endless_nesting__refused_without_exhausting_the_stack(opening: bytes) -> None:
    assert refusal(opening * 100_000)[0] == "json_too_deep"


def test_malformed__says_where() -> None:
    with pytest.raises(Unreadable) as caught:
        read_object(b'{"a": 1,\n "b": }')
    assert caught.value.facts == {"line": 2, "column": 7}


def test_size__up_to_the_limit(settings: Settings) -> None:
    settings.API_MAX_BODY_BYTES = 20
    parser = StrictJSONParser()
    assert parser.parse(io.BytesIO(b'{"a": "12345678901"}')) == {"a": "12345678901"}
    with pytest.raises(TooLarge) as caught:
        parser.parse(io.BytesIO(b'{"a": "123456789012"}'))
    assert (caught.value.code, caught.value.facts) == ("body_too_large", {"max_bytes": 20})


def test_size_without_a_setting__one_mebibyte(settings: Settings) -> None:
    del settings.API_MAX_BODY_BYTES
    content = b'{"a": "' + b"x" * (1024 * 1024 - 9) + b'"}'
    assert len(content) == 1024 * 1024
    StrictJSONParser().parse(io.BytesIO(content))
    with pytest.raises(TooLarge):
        StrictJSONParser().parse(io.BytesIO(content + b" "))
